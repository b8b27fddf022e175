// What a new job starts with: boards, router, saw, nails and prices, as the maker has them.

import { useEffect, useState } from 'preact/hooks';
import { Field, useProfiles, words } from './field';
import { freshBoard, freshPrice } from './fresh';
import { nodeAt, shown, tablesOf, type Change, type Key, type Path, type TableNode, type Written } from './spec';
import { useBench } from './use';
import { job, now } from './state';
import { changeText, fieldsOf, setShop } from './work';

const START = 'title = "New jobs"\n';

const TABLES: { name: string; title: string; add: string; fresh: [string, Written][] }[] = [
  { name: 'stock', title: 'Board', add: 'A board', fresh: [] },
  { name: 'router', title: 'Router', add: 'A router', fresh: [['machine', { text: 'desktop-router' }], ['cutter', { text: 'endmill-6' }]] },
  { name: 'saw', title: 'Saw', add: 'A saw', fresh: [['kerf', { text: '3 mm' }]] },
  { name: 'hardware', title: 'Nails and paint', add: 'Nails and paint', fresh: [['coats', { plain: '2' }]] },
  { name: 'cost', title: 'Prices', add: 'Prices', fresh: [['currency', { text: '€' }]] },
];

/** Changes go one after the other, each to what the last one left; one that can't be written as it stands changes nothing. */
let last: Promise<void> = Promise.resolve();
function change(...changes: [Path, Change][]): void {
  last = last.then(async () => {
    const before = now().kept.shop.usual || START;
    const usual = await changeText(before, changes);
    if (usual !== before) await setShop({ usual });
  });
}

export function Usual() {
  const { keys, kept } = useBench();
  const text = kept.shop.usual;
  const [top, setTop] = useState<TableNode | null>(null);
  useEffect(() => {
    let gone = false;
    void fieldsOf(text || START).then(fields => {
      if (!gone) setTop(fields);
    });
    return () => {
      gone = true;
    };
  }, [text]);
  const open = job();
  const inches = shown(top?.keys.units) === 'in';
  const keyed = (name: string): Key | undefined => keys?.spec.find(key => key.name === name);
  const add = (name: string, fresh: [string, Written][]): void => {
    const at = tablesOf(top?.keys[name]).length;
    if (name === 'stock') return change([['stock'], { add: freshBoard(at + 1, inches) }]);
    change(...fresh.map(([key, value]): [Path, Change] => [[name, key], { value }]));
  };
  const units = keyed('units');
  return (
    <section aria-labelledby="usual-title" class="usual">
      <h2 id="usual-title">What a new job starts with</h2>
      <p class="hint">Your boards with their measured thickness, your router and saw, nails and prices: every new job gets them, and can change them.</p>
      <p>
        {open && <button type="button" onClick={() => void setShop({ usual: open.text })}>Take those of “{open.name}”</button>}
        {text && <button type="button" class="quiet" onClick={() => void setShop({ usual: '' })}>Start from the starters' own again</button>}
      </p>
      <p class="said" aria-live="polite">{text ? 'New jobs start with your own.' : 'New jobs start with what the starter has, until you add something here.'}</p>
      {top && units && <div class="fields"><Field of={units} path={['units']} top={top} problems={[]} put={(path, to) => change([path, to])} /></div>}
      {TABLES.map(({ name, title, add: what, fresh }) => {
        const of = keyed(name);
        const items = tablesOf(top?.keys[name]);
        if (!of) return null;
        return (
          <>
            {items.map((_, i) => (
              <Answers title={name === 'stock' && items.length > 1 ? `${title} ${i + 1}` : title} of={of} path={name === 'stock' ? [name, i] : [name]} top={top} />
            ))}
            {(name === 'stock' || items.length === 0) && <button type="button" class="add" onClick={() => add(name, fresh)}>+ {name === 'stock' && items.length ? 'Another board' : what}</button>}
          </>
        );
      })}
    </section>
  );
}

interface AnswersProps {
  title: string;
  of: Key;
  path: Path;
  top: TableNode | null;
}

/** The answers of one table: those that are given or needed, and the others behind "more". */
function Answers({ title, of, path, top }: AnswersProps) {
  const profiles = useProfiles();
  const node = nodeAt(top, path);
  const given = (key: Key): boolean => node?.is === 'table' && key.name in node.keys;
  const plain = of.takes.keys!.filter(key => key.takes.kind !== 'table' && key.takes.kind !== 'tables');
  const priced = of.takes.keys!.find(key => key.name === 'item');
  const put = (at: Path, to: Change): void => change([at, to]);
  const field = (key: Key) => <Field key={key.name} of={key} path={[...path, key.name]} top={top} problems={[]} put={put} choices={profiles(key.name, of.name)} />;
  const prices = priced ? tablesOf(nodeAt(top, [...path, 'item'])) : [];
  return (
    <details class="table" open>
      <summary><h3>{title}</h3></summary>
      <div class="fields">{plain.filter(key => given(key) || key.needed).map(field)}</div>
      {priced && prices.map((price, i) => (
        <Answers title={`Price of ${shown(price.keys.name) || i + 1}`} of={priced} path={[...path, 'item', i]} top={top} />
      ))}
      {priced && <button type="button" class="add" onClick={() => change([[...path, 'item'], { add: freshPrice(prices.map(one => shown(one.keys.name)), []) }])}>+ A price</button>}
      <details class="more">
        <summary>More about {words(title.toLowerCase())}</summary>
        <div class="fields">{plain.filter(key => !given(key) && !key.needed).map(field)}</div>
      </details>
      <button type="button" class="quiet" onClick={() => change([path, 'remove'])}>Take it out<span class="unseen">: {title}</span></button>
    </details>
  );
}
