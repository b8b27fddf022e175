// Which panels of a box are made from another board than the rest.

import { useState } from 'preact/hooks';
import { tablesOf, type Change, type Node, type Path } from './spec';
import { useBench } from './use';

/** Groups that every box may have; a family of panels goes by its own name. */
const GROUPS = ['walls', 'floor', 'cover', 'cleats', 'rims'];

export function MadeFrom({ node, path, put, id }: { node: Node | undefined; path: Path; put: (path: Path, to: Change) => void; id: string }) {
  const { fields } = useBench();
  const [fresh, setFresh] = useState('');
  const boards = tablesOf(fields?.keys.stock).flatMap(one => (one.keys.name?.is === 'value' ? [one.keys.name.shown] : []));
  const rows = node?.is === 'table' ? Object.entries(node.keys) : [];
  if (boards.length < 2) return <p class="hint" id={id}>Add another board under “Board”, and give each a name.</p>;
  const board = (name: string, value: string) => (
    <select aria-label={`${name}, made from`} value={value} onChange={event => put([...path, name], event.currentTarget.value ? { value: { text: event.currentTarget.value } } : 'remove')}>
      <option value="">the box's own</option>
      {boards.map(one => <option value={one}>{one}</option>)}
    </select>
  );
  return (
    <div class="made-from" role="group" id={id}>
      {rows.map(([name, of]) => <p><span>{name}</span> {board(name, of.is === 'value' ? of.shown : '')}</p>)}
      <p>
        <input type="text" aria-label="Panels" list={`${id}-groups`} value={fresh} placeholder="floor, cleats, …" onInput={event => setFresh(event.currentTarget.value)} />
        <datalist id={`${id}-groups`}>{GROUPS.filter(one => !rows.some(([name]) => name === one)).map(one => <option value={one} />)}</datalist>
        <button
          type="button"
          disabled={!fresh.trim()}
          onClick={() => {
            put([...path, fresh.trim()], { value: { text: boards[1] } });
            setFresh('');
          }}
        >
          Make it from another board
        </button>
      </p>
    </div>
  );
}
