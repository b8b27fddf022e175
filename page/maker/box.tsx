// The box in three dimensions: turned by hand, taken apart by a slider; a tap leads to a panel's face.

import { useEffect, useRef, useState } from 'preact/hooks';
import { attach, BoxView, CORNER, TURNS } from '../view/boxview';
import type { BoxSolid } from '../view/solids';
import { BoxChips } from './look';
import { useBench } from './use';
import { now, set } from './state';

export function BoxStage() {
  const { seen, box, part } = useBench();
  const canvas = useRef<HTMLCanvasElement>(null);
  const view = useRef<BoxView | null>(null);
  const apart = useRef(0);
  const [said, setSaid] = useState(0);
  const shown = seen!.boxes[Math.min(box, seen!.boxes.length - 1)];

  useEffect(() => {
    const made: BoxView = new BoxView(canvas.current!, {
      lit: panel => panel.part !== null && panel.part === now().part,
      offset: panel => panel.way.map(x => x * panel.rank * made.gap * apart.current),
    });
    view.current = made;
    attach(made, panel => {
      const { seen, box } = now();
      const face = seen?.faces.find(one => one.panel === panel.name && seen.boxes[box] && one.title.startsWith(seen.boxes[box].name));
      if (face) set({ part: panel.part, view: { at: 'panel', face: face.title } });
    });
  }, []);
  useEffect(() => {
    if (shown) view.current?.show(shown);
  }, [shown]);
  useEffect(() => view.current?.soon(), [part]);
  const take = (value: number): void => {
    apart.current = value / 100;
    setSaid(value);
    view.current?.soon();
  };
  if (!shown) return <p class="hint">This job has loose parts alone; they are under Holes and Sheets.</p>;
  return (
    <div class="box-stage">
      <BoxChips />
      <canvas ref={canvas} class="box-view" tabIndex={0} role="img" aria-label={`${shown.name} with ${shown.panels.length} panels; arrow keys turn it`} />
      <div class="box-hands">
        <label for="apart">Apart</label>
        <input id="apart" type="range" min="0" max="100" value={said} aria-valuetext={said === 0 ? 'together' : `${said} % apart`} onInput={event => take(Number(event.currentTarget.value))} />
        <div class="turns" role="group" aria-label="Turn the box">
          {(['left', 'right', 'up', 'down'] as const).map(way => (
            <button type="button" aria-label={`turn ${way}`} onClick={() => view.current?.turn(...TURNS[way])}>{{ left: '←', right: '→', up: '↑', down: '↓' }[way]}</button>
          ))}
          <button type="button" onClick={() => view.current?.look(0, 0.12)}>Front</button>
          <button type="button" onClick={() => view.current?.look(CORNER.yaw, CORNER.pitch)}>Corner</button>
        </div>
      </div>
      <p class="hint">Tap a panel to see its face with its holes.</p>
    </div>
  );
}

/** A small picture of a box that nobody turns. */
export function BoxPicture({ box }: { box: BoxSolid | null }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    if (!box) return;
    const view = new BoxView(canvas.current!);
    view.plain = true;
    view.show(box);
  }, [box]);
  return <canvas ref={canvas} class="box-picture" aria-hidden="true" />;
}
