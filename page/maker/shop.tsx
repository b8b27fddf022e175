// The maker's shop: own machines, tools, saws, boards and fasteners; what a new job starts with; lists of off-cuts.

import { useEffect, useState } from 'preact/hooks';
import { Draft, words } from './field';
import { save } from './files';
import type { Change, Key, Node, Path, TableNode, Written } from './spec';
import { Problems } from './text';
import { useBench } from './use';
import { Usual } from './usual';
import { job, set } from './state';
import { changeText, fieldsOf, setShop } from './work';

const FOLDERS: [string, string][] = [
  ['machines', 'Routers'],
  ['tools', 'Cutters and drills'],
  ['saws', 'Saws'],
  ['materials', 'Materials of boards'],
  ['fasteners', 'Nails and screws'],
  ['frames', 'Frames'],
  ['occupants', 'Animals'],
];

export function Shop() {
  const { kept, profiles, shelfTold } = useBench();
  const { shop } = kept;
  const [open, setOpen] = useState<string | null>(null);
  const open_ = job();
  const copy = async (folder: string, from: string): Promise<void> => {
    const base = profiles.find(one => one.folder === folder && one.name === from);
    if (!base) return;
    const names = new Set(profiles.filter(one => one.folder === folder).map(one => one.name));
    let name = `my-${from}`;
    for (let i = 2; names.has(name); i++) name = `my-${from}-${i}`;
    const text = await changeText(base.text, [[['title'], { value: { text: `My ${base.title}` } }]]);
    await setShop({ profiles: [...shop.profiles, { folder, name, text }] });
    setOpen(`${folder}/${name}`);
  };
  const put = (folder: string, name: string, text: string | null): void =>
    void setShop({ profiles: shop.profiles.flatMap(one => (one.folder === folder && one.name === name ? (text === null ? [] : [{ ...one, text }]) : [one])) });
  const readList = async (files: FileList | null): Promise<void> => {
    const read = await Promise.all([...(files ?? [])].map(async file => ({ name: file.name, text: await file.text() })));
    await setShop({ lists: [...shop.lists.filter(list => !read.some(one => one.name === list.name)), ...read] });
  };
  const readProfile = async (folder: string, file: File | undefined): Promise<void> => {
    if (!file) return;
    const name = file.name.replace(/\.toml$/i, '');
    await setShop({ profiles: [...shop.profiles.filter(one => one.folder !== folder || one.name !== name), { folder, name, text: await file.text() }] });
  };
  return (
    <main id="main" class="shop wide" tabIndex={-1}>
      <h1>Your shop</h1>
      <p class="lead">Set once: what you cut with and from. It is kept in this browser; save the files to use them with the command as well.</p>
      {FOLDERS.map(([folder, title]) => {
        const own = shop.profiles.filter(one => one.folder === folder);
        const known = profiles.filter(one => one.folder === folder && !one.own);
        return (
          <details class="table" open={own.length > 0 || folder === 'machines' || folder === 'tools'}>
            <summary><h2>{title}{own.length > 0 && ` (${own.length})`}</h2></summary>
            {own.map(one => (
              <Profile
                key={one.name}
                folder={folder}
                name={one.name}
                text={one.text}
                open={open === `${folder}/${one.name}`}
                told={shelfTold.find(told => told.folder === folder && told.name === one.name)}
                put={text => put(folder, one.name, text)}
              />
            ))}
            <div class="row">
              <label>
                Start from{' '}
                <select value="" onChange={event => void copy(folder, event.currentTarget.value)}>
                  <option value="">choose</option>
                  {known.map(one => <option value={one.name}>{one.title}</option>)}
                </select>
              </label>
              <label class="file">or open a file <input type="file" accept=".toml,text/plain" onChange={event => void readProfile(folder, event.currentTarget.files?.[0])} /></label>
            </div>
          </details>
        );
      })}
      <Usual />
      <section aria-labelledby="lists-title">
        <h2 id="lists-title">Off-cuts</h2>
        <p class="hint">The list offcuts.toml of an earlier job's folder. A job takes boards from it with the key “from” of a board.</p>
        <ul class="files">
          {shop.lists.map(list => (
            <li>
              <b>{list.name}</b>
              <button type="button" onClick={() => save(list.name, new Blob([list.text], { type: 'text/plain' }))}>Save</button>
              <button type="button" class="quiet" onClick={() => void setShop({ lists: shop.lists.filter(one => one !== list) })}>Take out</button>
            </li>
          ))}
        </ul>
        <label class="file">Open a list <input type="file" accept=".toml,text/plain" multiple onChange={event => void readList(event.currentTarget.files)} /></label>
      </section>
      <p><button type="button" onClick={() => set({ page: open_ ? 'job' : 'start' })}>Back to {open_ ? open_.name : 'the start'}</button></p>
    </main>
  );
}

interface ProfileProps {
  folder: string;
  name: string;
  text: string;
  open: boolean;
  told?: { told: { problems?: import('./told').Problem[]; fault?: string } };
  put: (text: string | null) => void;
}

function Profile({ folder, name, text, open, told, put }: ProfileProps) {
  const { keys } = useBench();
  const [top, setTop] = useState<TableNode | null>(null);
  useEffect(() => {
    let gone = false;
    void fieldsOf(text).then(fields => {
      if (!gone) setTop(fields);
    });
    return () => {
      gone = true;
    };
  }, [text]);
  const all = keys?.profiles[folder]?.keys ?? [];
  const change = (path: Path, to: Change): void => void changeText(text, [[path, to]]).then(put);
  const title = top?.keys.title;
  return (
    <details class="profile" open={open}>
      <summary><b>{title?.is === 'value' ? title.shown : name}</b> <span class="hint">{name}.toml</span></summary>
      {told && <Problems problems={told.told.problems ?? []} elsewhere />}
      {top && <div class="fields">{all.map(key => <Figure of={key} node={top.keys[key.name]} put={change} />)}</div>}
      {!top && <p class="wrong">The file can't be read as it stands; take it out, or open it mended.</p>}
      <p>
        <button type="button" onClick={() => save(`${name}.toml`, new Blob([text], { type: 'text/plain' }))}>Save {name}.toml</button>
        <button type="button" class="quiet" onClick={() => put(null)}>Take it out of the shop</button>
      </p>
      <p class="hint">For the command it belongs into a folder of profiles, under {folder}/.</p>
    </details>
  );
}

/** A figure of a profile: its value, and where it comes from. */
function Figure({ of, node, put }: { of: Key; node: Node | undefined; put: (path: Path, to: Change) => void }) {
  if (of.name === 'title') {
    return (
      <label class="field titled"><span>title</span><Draft value={node?.is === 'value' ? node.shown : ''} grey={of.about} give={text => put(['title'], { value: { text } })} /></label>
    );
  }
  const table = node?.is === 'table' ? node : null;
  const part = (name: string): Node | undefined => table?.keys[name] ?? (name === 'value' && !table ? node : undefined);
  const value = part('value');
  const source = part('source');
  const text = value?.is === 'value' ? value.shown : value?.is === 'list' ? value.items.join(', ') : '';
  const from = source?.is === 'value' ? source.shown : '';
  const write = (given: string): void => {
    if (given === '') return put([of.name], 'remove');
    const plain = (one: string): Written => (of.takes.kind === 'flag' ? { flag: one === 'true' } : of.takes.kind === 'words' || of.takes.kind === 'text' ? { text: one } : { plain: one });
    const whole: Written = of.takes.names || given.includes(',') ? { list: given.split(',').map(one => plain(one.trim())) } : plain(given);
    put([of.name], { value: { sourced: [whole, from || 'your own: measured'] } });
  };
  return (
    <div class={`field${node ? ' is-given' : ''}`}>
      <label>
        <span>{words(of.name)}</span>
        {of.takes.kind === 'words' || of.takes.kind === 'flag' ? (
          <select value={text} onChange={event => write(event.currentTarget.value)}>
            <option value="">{of.unless || 'choose'}</option>
            {(of.takes.words ?? ['true', 'false']).map(word => <option value={word}>{word}</option>)}
          </select>
        ) : (
          <Draft value={text} grey={of.unless || of.takes.names?.join(', ') || (of.needed ? 'needed' : 'not given')} give={write} />
        )}
      </label>
      <p class="about">{of.about}{from && <span class="source"> · {from}</span>}</p>
    </div>
  );
}
