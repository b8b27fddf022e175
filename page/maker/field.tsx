// One key of the spec as a field: what stands there, what holds unless given, and what is wrong with it.

import { useEffect, useId, useRef, useState } from 'preact/hooks';
import type { ComponentChildren } from 'preact';
import { MadeFrom } from './made-from';
import { plainly } from './text';
import { nodeAt, problemsAt, shown, written, type Change, type Key, type Node, type Path, type TableNode } from './spec';
import type { Problem } from './told';
import { useBench } from './use';
import { Words } from './words';
import { change } from './work';

/** What may be chosen for a key that names something. */
export interface Choice {
  value: string;
  title: string;
}

interface Props {
  of: Key;
  path: Path;
  top: TableNode | null;
  problems: Problem[];
  put?: (path: Path, to: Change) => void;
  choices?: Choice[];
  /** Names that are known, where others may be written, too. */
  known?: string[];
  children?: ComponentChildren;
}

const put_ = (path: Path, to: Change): void => void change([[path, to]]);

export const words = (name: string): string => name.replaceAll('-', ' ');

/** What holds unless something is chosen, by the name that it has among the choices. */
const usual = (all: Choice[], value: string): string => {
  const title = all.find(one => one.value === value)?.title;
  return title ? `${title} (unless you choose)` : value;
};

/** Grey words for what holds when nothing is written. */
function grey(key: Key): string {
  if (key.needed) return key.instead.length ? `or ${key.instead.map(words).join(' or ')}` : 'needed';
  return key.unless;
}

export function Field({ of, path, top, problems, put = put_, choices, known, children }: Props) {
  const id = useId();
  const node = nodeAt(top, path);
  const inches = shown(top?.keys.units) === 'in';
  const wrong = problemsAt(top, problems, path);
  const told = [...new Set(wrong.map(problem => (halfEmpty(of, node) ? `needed: ${of.takes.names!.join(' and ')}` : plainly(problem, 'field'))))];
  const common = { id, 'aria-describedby': `${id}-about`, 'aria-invalid': wrong.length > 0 };
  return (
    <div class={`field${wrong.length ? ' is-wrong' : ''}${node ? ' is-given' : ''}`} data-path={path.join('/')}>
      <label for={id}>
        {words(of.name)}
        {of.needed && !node && !of.instead.length && !wrong.length && <span class="needed"> needed</span>}
      </label>
      <Entry of={of} node={node} path={path} put={put} choices={choices} known={known} common={common} />
      {children}
      {told.map(text => (
        <p class="wrong" role="alert"><Words text={text} /></p>
      ))}
      {wrong.length > 0 && slip(of, shown(node)) && <p class="wrong">{slip(of, shown(node))}</p>}
      <p class="about" id={`${id}-about`}>
        <Words text={of.about} />
        {limits(of, inches) && <span class="limits"> ({limits(of, inches)})</span>}
      </p>
    </div>
  );
}

/** Whether of the numbers that belong together some are still to be written. */
const halfEmpty = (of: Key, node: Node | undefined): boolean => of.takes.names !== undefined && node?.is === 'list' && node.items.some(one => one === '');

/** What is usually meant by a number that can't be read. */
function slip(of: Key, text: string): string {
  if (of.takes.kind !== 'number' && of.takes.kind !== 'whole') return '';
  if (/^\s*\d+,\d+/.test(text)) return 'Write a point, not a comma.';
  return /\d/.test(text) && /[^\d\s.,+-]/.test(text) ? 'Write the number alone, without a sign or a unit.' : '';
}

/** A limit in inches, rounded to its own side. */
const inInches = (mm: number, side: (of: number) => number): number => side((mm / 25.4) * 1000 - (side === Math.ceil ? 1e-6 : -1e-6)) / 1000;

/** From where to where it may be, said beside what it means. */
function limits(of: Key, inches: boolean): string {
  const { kind, least, most } = of.takes;
  if (inches && (kind === 'length' || kind === 'lengths') && least !== undefined && most !== undefined) return `${inInches(least, Math.ceil)} to ${inInches(most, Math.floor)} in`;
  if (of.limits) return of.limits;
  return of.takes.kind === 'whole' ? of.says : '';
}

interface EntryProps {
  of: Key;
  node: Node | undefined;
  path: Path;
  put: (path: Path, to: Change) => void;
  choices?: Choice[];
  known?: string[];
  common: { id: string; 'aria-describedby': string; 'aria-invalid': boolean };
}

function Entry({ of, node, path, put, choices, known, common }: EntryProps) {
  const { takes } = of;
  const give = (value: string): void => put(path, value === '' ? 'remove' : { value: written(takes, value) });
  const remove = (): void => {
    if (node) put(path, 'remove');
  };
  if (takes.kind === 'words' || takes.kind === 'flag' || (choices && takes.kind !== 'profiles')) {
    const all = choices ?? (takes.words ?? ['true', 'false']).map(value => ({ value, title: value }));
    const value = shown(node);
    const odd = value !== '' && !all.some(one => one.value === value);
    return (
      <select {...common} value={value} onChange={event => (event.currentTarget.value === '' ? remove() : give(event.currentTarget.value))}>
        <option value="">{node && of.needed ? 'choose' : usual(all, grey(of)) || 'not given'}</option>
        {odd && <option value={value}>{value}</option>}
        {all.map(one => (
          <option value={one.value}>{one.title}</option>
        ))}
      </select>
    );
  }
  if (takes.kind === 'profiles') {
    const items = node?.is === 'list' ? node.items : [];
    const flip = (name: string): void => {
      const left = items.includes(name) ? items.filter(one => one !== name) : [...items, name];
      put(path, left.length ? { value: { list: left.map(text => ({ text })) } } : 'remove');
    };
    return (
      <div class="several" role="group" aria-describedby={common['aria-describedby']} id={common.id}>
        {(choices ?? []).map(one => (
          <label class="check">
            <input type="checkbox" checked={items.includes(one.value)} onChange={() => flip(one.value)} />
            {one.title}
          </label>
        ))}
      </div>
    );
  }
  if (takes.names) return <Numbers of={of} node={node} path={path} put={put} common={common} names={takes.names} />;
  if (of.name === 'panel-stock') return <MadeFrom node={node} path={path} put={put} id={common.id} />;
  const numeric = takes.kind === 'whole' || takes.kind === 'number';
  return (
    <>
      <Draft {...common} value={shown(node)} grey={grey(of)} give={give} list={known && `${common.id}-known`} mode={numeric ? 'decimal' : undefined} step={takes.kind === 'whole' ? 1 : undefined} />
      {known && (
        <datalist id={`${common.id}-known`}>
          {known.map(value => (
            <option value={value} />
          ))}
        </datalist>
      )}
    </>
  );
}

/** Numbers that belong together. What was typed into one holds for the next, though it may not have come back yet. */
function Numbers({ of, node, path, put, common, names }: Pick<EntryProps, 'of' | 'node' | 'path' | 'put' | 'common'> & { names: string[] }) {
  const items = node?.is === 'list' ? node.items : [];
  const typed = useRef<string[] | null>(null);
  useEffect(() => {
    typed.current = null;
  }, [items.join()]);
  const giveOne = (at: number, value: string): void => {
    const before = typed.current ?? items;
    const all = names.map((_, i) => (i === at ? value : before[i] ?? ''));
    typed.current = all;
    put(path, all.every(one => one === '') ? 'remove' : { value: { list: all.map(plain => ({ plain })) } });
  };
  return (
    <div class="pair-of" role="group" id={common.id}>
      {names.map((name, i) => (
        <span>
          <Draft label={`${words(of.name)}, ${name}`} value={items[i] ?? ''} grey={name} give={value => giveOne(i, value)} invalid={common['aria-invalid']} />
        </span>
      ))}
    </div>
  );
}

interface DraftProps {
  id?: string;
  value: string;
  grey: string;
  give: (value: string) => void;
  label?: string;
  list?: string;
  mode?: 'decimal';
  step?: number;
  invalid?: boolean;
  'aria-describedby'?: string;
  'aria-invalid'?: boolean;
}

/** A text field that keeps what is being typed, whatever comes back meanwhile. */
export function Draft({ value, grey, give, label, list, mode, step, invalid, ...more }: DraftProps) {
  const [draft, setDraft] = useState<string | null>(null);
  /** What was typed and has not come back yet. */
  const typed = useRef<string[]>([]);
  useEffect(() => {
    // A number on its way may come back as the same number written otherwise: `0.` as `0.0`.
    const at = typed.current.findLastIndex(one => one === value || (one !== '' && value !== '' && Number(one) === Number(value)));
    // Any other value comes from somewhere else: from an undo, or from the text.
    if (at < 0) setDraft(null);
    typed.current = at < 0 ? [] : typed.current.slice(at);
  }, [value]);
  const enter = (text: string): void => {
    setDraft(text);
    typed.current.push(text.trim());
    give(text.trim());
  };
  const nudge = (event: KeyboardEvent): void => {
    const by = event.key === 'ArrowUp' ? 1 : event.key === 'ArrowDown' ? -1 : 0;
    const text = draft ?? value;
    if (!by || !step || !/^\d+$/.test(text)) return;
    event.preventDefault();
    enter(String(Math.max(0, Number(text) + by * step)));
  };
  return (
    <input
      {...more}
      type="text"
      autocomplete="off"
      spellcheck={false}
      inputMode={mode}
      aria-label={label}
      aria-invalid={more['aria-invalid'] ?? invalid}
      list={list}
      value={draft ?? value}
      placeholder={grey}
      onBlur={() => {
        typed.current = [];
        setDraft(null);
      }}
      onInput={event => enter(event.currentTarget.value)}
      onKeyDown={nudge}
    />
  );
}

/** Profiles of a folder as choices, those that suit a key. */
export function useProfiles(): (key: string, within: string) => Choice[] | undefined {
  const { profiles } = useBench();
  const of = (folder: string, suits: (text: string) => boolean = () => true): Choice[] =>
    profiles.filter(one => one.folder === folder && suits(one.text)).map(one => ({ value: one.name, title: `${one.title}${one.own ? ' (yours)' : ''}` }));
  return (key, within) => {
    const drill = (text: string): boolean => /^kind\s*=.*"drill"/m.test(text);
    switch (key) {
      case 'material':
        return of('materials');
      case 'machine':
        return of(within === 'saw' ? 'saws' : 'machines');
      case 'cutter':
        return of('tools', text => !drill(text));
      case 'drills':
        return of('tools', drill);
      case 'frame':
        return of('frames');
      case 'occupant':
        return of('occupants');
      case 'fastener':
        return of('fasteners');
      default:
        return undefined;
    }
  };
}
