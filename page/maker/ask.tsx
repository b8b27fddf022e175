// Your job: what only the maker knows, a few questions at a time; and the same as text.

import { useRef } from 'preact/hooks';
import { Field, useProfiles, words, type Choice } from './field';
import { freshAddedBoard, freshBoard, freshBox, freshHole, freshPart, freshPlace, freshPrice, freshRecess } from './fresh';
import { toField } from './place';
import { nodeAt, plainPath, problemsAt, shown, tableAround, tablesOf, type Change, type Key, type Path, type TableNode, type Written } from './spec';
import { plainly, SpecText } from './text';
import { Thickness } from './thickness';
import { useBench } from './use';
import { Words } from './words';
import { set, type State } from './state';
import { change } from './work';

/** What is asked first of each table; the rest stands behind "more". */
const FIRST: Record<string, string[]> = {
  top: ['title', 'units'],
  stock: ['material', 'size', 'thickness', 'on-hand', 'price'],
  router: ['machine', 'cutter', 'drills'],
  saw: ['machine', 'kerf'],
  box: ['count', 'frame', 'frames', 'occupant', 'inside', 'corner', 'rest', 'floor', 'cover', 'roof', 'door'],
  hole: ['panel', 'use', 'diameter', 'slot', 'size', 'across', 'up', 'down'],
  pocket: ['panel', 'size', 'depth', 'across', 'up', 'down'],
  part: ['name', 'size', 'count'],
  cost: ['currency', 'rate', 'margin'],
  item: ['name', 'price', 'per'],
  'keep-out': ['at', 'size', 'why', 'height'],
  board: ['name', 'between', 'against', 'from-left', 'from-front', 'height', 'stock', 'let-in'],
};

const MORE: Record<string, string> = { top: 'the job', stock: 'this board', pocket: 'this recess', item: 'this price', cost: 'prices', hardware: 'nails and paint', part: 'this loose part', board: 'this board' };

const TITLES: Record<string, string> = { stock: 'Board', router: 'Router', saw: 'Saw', part: 'Loose part', hardware: 'Nails and paint', cost: 'Prices', hole: 'Hole', pocket: 'Recess', item: 'Price of', 'keep-out': 'Keep out', board: 'Added board' };

export function Ask() {
  const state = useBench();
  const { asText } = state;
  return (
    <section class="strip ask" aria-labelledby="ask-title">
      <div class="strip-head">
        <h2 id="ask-title">Your job</h2>
        <div class="toggle" role="group" aria-label="How the job is written">
          <button type="button" aria-pressed={!asText} onClick={() => set({ asText: false })}>Questions</button>
          <button type="button" aria-pressed={asText} onClick={() => set({ asText: true })}>Text</button>
        </div>
      </div>
      {asText ? <SpecText /> : <Questions state={state} />}
    </section>
  );
}

function Questions({ state }: { state: State }) {
  const { keys, fields, problems } = state;
  if (!keys) return <p class="hint">The engine is starting.</p>;
  if (!fields) {
    const first = problems[0];
    return (
      <p class="hint">
        The text can't be read{first ? <> at line {first.line}: {first.message}</> : null}. Mend it under <b>Text</b>; the questions come back with it.
      </p>
    );
  }
  const keyed = (name: string): Key => keys.spec.find(key => key.name === name)!;
  const boxes = tablesOf(fields.keys.box);
  const plain = keys.spec.filter(key => key.takes.kind !== 'table' && key.takes.kind !== 'tables');
  return (
    <div class="questions">
      {boxes.map((_, i) => (
        <BoxForm key={`${i} of ${boxes.length}`} at={i} />
      ))}
      <button type="button" class="add" data-path="box" onClick={() => addBox(boxes.length, shown(fields.keys.units) === 'in')}>+ {boxes.length ? 'Another box' : 'A box'}</button>
      <Several of={keyed('stock')} />
      <One of={keyed('router')} fresh={[['machine', { text: 'desktop-router' }], ['cutter', { text: 'endmill-6' }]]} add="Cut by a router" />
      <One of={keyed('saw')} fresh={[['kerf', { text: '3 mm' }]]} add="Cut by hand with a saw" />
      <Several of={keyed('part')} />
      <One of={keyed('hardware')} fresh={[]} add="Choose nails and paint" />
      <One of={keyed('cost')} fresh={[['currency', { text: '€' }]]} add="Reckon what it costs" />
      <Table title="The job" path={[]} keys={plain} kind="top" />
    </div>
  );
}

function addBox(known: number, inches: boolean): void {
  void change([[['box'], { add: freshBox(known + 1, inches) }]]);
  toField(['box', known]);
}

/** A table's questions: those that come first or have an answer, and the others. */
function Table({ title, path, keys, kind, remove, children, open = true }: { title: string; path: Path; keys: Key[]; kind: string; remove?: () => void; children?: preact.ComponentChildren; open?: boolean }) {
  const { fields, problems, seen } = useBench();
  const profiles = useProfiles();
  const node = nodeAt(fields, path);
  const given = (name: string): boolean => node?.is === 'table' && name in node.keys;
  const plain = keys.filter(key => key.takes.kind !== 'table' && key.takes.kind !== 'tables');
  const asked = (key: Key): boolean => {
    if (given(key.name)) return true;
    if (key.instead.some(given)) return kind === 'hole' && (key.name === 'slot' || key.name === 'size');
    return key.needed || (FIRST[kind] ?? []).includes(key.name);
  };
  const order = (key: Key): number => {
    const at = (FIRST[kind] ?? []).indexOf(key.name);
    return at < 0 ? 99 : at;
  };
  // Where a question stands is settled when it comes up: it does not walk away from under the hand that answers it.
  const settled = useRef(new Map<string, boolean>());
  for (const key of plain) if (!settled.current.has(key.name)) settled.current.set(key.name, asked(key));
  const first = plain.filter(key => settled.current.get(key.name)).sort((a, b) => order(a) - order(b));
  const more = plain.filter(key => !settled.current.get(key.name));
  const wrong = (key: Key): boolean => problemsAt(fields, problems, [...path, key.name]).length > 0;
  // What is wrong with the whole, and with no one answer of it.
  const whole = problems.filter(problem => {
    const table = tableAround(fields, problem.span[0]);
    return path.length > 0 && table && plainPath(table) === plainPath(path) && !keys.some(key => problemsAt(fields, [problem], [...path, key.name]).length > 0);
  });
  const faces = seen?.faces.filter(face => face.assembly === path[1]) ?? [];
  const known = (key: Key): string[] | undefined => {
    if (key.name === 'panel') return [...new Set(faces.map(face => face.panel))];
    if (key.name === 'across') return ['centre'];
    if (key.name === 'stock' && path.length) return tablesOf(fields?.keys.stock).map(one => one.keys.name).flatMap(one => (one?.is === 'value' ? [one.shown] : []));
    if (key.name === 'stands-on') return tablesOf(fields?.keys.box).map(one => one.keys.name).flatMap(one => (one?.is === 'value' ? [one.shown] : []));
    return undefined;
  };
  // Of several that stand for each other the one that is written last holds.
  const put = (key: Key) => (at: Path, to: Change): void => {
    const step = JSON.stringify(at);
    void change([[at, to]], step);
    // A change of its own: with the next key the other may be gone already, and a change that fails changes nothing.
    if (to !== 'remove') for (const other of key.instead.filter(given)) void change([[[...path, other], 'remove']], step);
  };
  const field = (key: Key) => (
    <Field key={key.name} of={key} path={[...path, key.name]} put={put(key)} top={fields} problems={problems} choices={profiles(key.name, kind)} known={known(key)}>
      {kind === 'stock' && key.name === 'thickness' && <Thickness at={Number(path[1] ?? 0)} path={[...path, key.name]} />}
    </Field>
  );
  return (
    <details class="table" open={open}>
      <summary><h3>{title}</h3></summary>
      {whole.map(problem => <p class="wrong" role="alert"><Words text={plainly(problem, 'field')} /></p>)}
      <div class="fields">{first.map(field)}</div>
      {children}
      {more.length > 0 && (
        <details class="more">
          <summary>More about {MORE[kind] ?? `this ${kind}`} ({more.length}){more.some(wrong) && <b class="wrong"> something is wrong here</b>}</summary>
          <div class="fields">{more.map(field)}</div>
        </details>
      )}
      {remove && <button type="button" class="quiet" onClick={remove}>Take it out of the job<span class="unseen">: {title}</span></button>}
    </details>
  );
}

function One({ of, fresh, add }: { of: Key; fresh: [string, Written][]; add: string }) {
  const { fields } = useBench();
  const node = fields?.keys[of.name];
  if (!node) {
    const put = (): void => {
      void change(fresh.length ? fresh.map(([name, value]): [Path, Change] => [[of.name, name], { value }]) : [[[of.name, 'coats'], { value: { plain: '2' } }]]);
      toField([of.name]);
    };
    return <button type="button" class="add" onClick={put}>+ {add}</button>;
  }
  const nested = of.takes.keys!.filter(key => key.takes.kind === 'tables');
  return (
    <Table title={TITLES[of.name] ?? words(of.name)} path={[of.name]} keys={of.takes.keys!} kind={of.name} remove={() => void change([[[of.name], 'remove']])} open={of.name !== 'cost'}>
      {nested.map(key => <Several of={key} path={[of.name]} />)}
    </Table>
  );
}

/** Tables of which there may be several. */
function Several({ of, path = [] }: { of: Key; path?: Path }) {
  const { fields, seen, plan } = useBench();
  const own = [...path, of.name];
  const items = tablesOf(nodeAt(fields, own));
  const title = TITLES[of.name] ?? words(of.name);
  const named = (table: TableNode): string => {
    const of = (name: string): string => {
      const node = table.keys[name];
      return node?.is === 'value' ? node.shown : '';
    };
    return [of('use'), of('purpose'), of('why'), of('name')].find(Boolean) ?? '';
  };
  const add = (): void => {
    const inches = (seen?.units ?? shown(fields?.keys.units)) === 'in';
    const faces = seen?.faces.filter(face => face.assembly === path[1]) ?? [];
    const face = faces.find(face => face.panel === 'front') ?? faces[0];
    const start = ((): [string, Written][] => {
      switch (of.name) {
        case 'hole':
          return freshHole(face, inches);
        case 'pocket':
          return freshRecess(face, inches);
        case 'part':
          return freshPart(items.length + 1, inches);
        case 'board':
          return freshAddedBoard(items.length + 1, inches);
        case 'keep-out':
          return freshPlace(inches);
        case 'item':
          return freshPrice(items.map(named), plan?.cost?.not_priced ?? []);
        default:
          return freshBoard(items.length + 1, inches);
      }
    })();
    void change([[own, { add: start }]]);
    // The price alone is still to be written.
    toField(of.name === 'item' ? [...own, items.length, 'price'] : [...own, items.length]);
  };
  return (
    <>
      {items.map((table, i) => (
        <Table
          key={`${i} of ${items.length}`}
          title={items.length > 1 || path.length ? `${title}${named(table) ? `: ${named(table)}` : ` ${i + 1}`}` : title}
          path={[...own, i]}
          keys={of.takes.keys!}
          kind={of.name}
          remove={items.length > 1 || of.name !== 'stock' ? () => void change([[[...own, i], 'remove']]) : undefined}
          open
        >
          {of.takes.keys!.filter(key => key.takes.kind === 'tables').map(key => <Several of={key} path={[...own, i]} />)}
        </Table>
      ))}
      <button type="button" class="add" data-path={own.join('/')} onClick={add}>+ {of.name === 'stock' ? (items.length ? 'Another board' : 'A board') : of.name === 'hole' ? 'A hole' : of.name === 'pocket' ? 'A recess' : of.name === 'item' ? 'A price' : of.name === 'keep-out' ? 'A place to keep out' : of.name === 'board' ? 'A board in the box' : 'A loose part'}</button>
    </>
  );
}

function BoxForm({ at }: { at: number }) {
  const { keys, fields } = useBench();
  const path: Path = ['box', at];
  const node = nodeAt(fields, path);
  if (!keys || node?.is !== 'table') return null;
  const of = (name: string): string => {
    const value = node.keys[name];
    return value?.is === 'value' ? value.shown : '';
  };
  const all = keys.spec.find(key => key.name === 'box')!.takes.keys!;
  const kind = keys.kinds[of('kind')];
  const kinds: Choice[] = Object.entries(keys.kinds).map(([value, { about }]) => ({ value, title: `${value}: ${about}` }));
  const own = [...all, ...(kind?.keys ?? [])].filter(key => key.name !== 'kind');
  const nested = all.filter(key => key.takes.kind === 'tables');
  const kindKey = all.find(key => key.name === 'kind')!;
  const boxes = tablesOf(fields!.keys.box);
  // Nothing is left to stand on a box that goes.
  const remove = (): void => {
    const left = boxes.flatMap((box, i): [Path, Change][] => (shown(box.keys['stands-on']) === of('name') ? [[['box', i, 'stands-on'], 'remove']] : []));
    void change([...left, [path, 'remove']]);
  };
  return (
    <Table title={of('name') || 'Box'} path={path} keys={own} kind="box" remove={boxes.length > 1 || tablesOf(fields!.keys.part).length > 0 ? remove : undefined}>
      <KindField of={kindKey} path={[...path, 'kind']} choices={kinds} />
      <div class="nested">{nested.map(key => <Several of={key} path={path} />)}</div>
    </Table>
  );
}

function KindField({ of, path, choices }: { of: Key; path: Path; choices: Choice[] }) {
  const { fields, problems } = useBench();
  return (
    <details class="more">
      <summary>Another kind of box</summary>
      <Field of={of} path={path} top={fields} problems={problems} choices={choices} />
    </details>
  );
}
