// A panel as it stands, its holes and recesses moved by hand. Whether a place is free the checks say, with every move.

import { useRef, useState } from 'preact/hooks';
import { lengthText } from './length';
import { Mark } from './mark';
import { nodeAt, tableAround, type Change, type Path } from './spec';
import type { Face, HoleSeen, Recess } from './told';
import { useBench } from './use';
import { Words } from './words';
import { set } from './state';
import { change, newStep } from './work';

const INCH = 25.4;
/** What a hole snaps to: a millimetre, or a sixteenth of an inch. */
const step = (units: 'mm' | 'in'): number => (units === 'in' ? INCH / 16 : 1);
/** Nearer to the middle than this share of the panel's width is meant to be the middle. */
const MIDDLE = 0.015;

type Thing = { at: number; across: number; up: number; spot: { start: number; end: number } | null };

export function PanelStage({ title }: { title: string }) {
  const { seen } = useBench();
  const faces = seen?.faces ?? [];
  const face = faces.find(one => one.title === title) ?? faces[0];
  const alone = (seen?.boxes.length ?? 0) < 2;
  const called = (one: Face): string => (alone ? one.panel : one.title);
  if (!face) return <p class="hint">No panel is there yet.</p>;
  return (
    <div class="panel-stage">
      <div class="chips" role="group" aria-label="Panels">
        {faces.map(one => (
          <button type="button" aria-pressed={one === face} onClick={() => set({ view: { at: 'panel', face: one.title } })}>
            {called(one)}
            {one.holes.some(hole => hole.status === 'refused') && <Mark status="refused" />}
          </button>
        ))}
      </div>
      <PanelFace face={face} />
    </div>
  );
}

function PanelFace({ face }: { face: Face }) {
  const { seen, fields, part, plan } = useBench();
  const svg = useRef<SVGSVGElement>(null);
  const [held, setHeld] = useState<number | null>(null);
  /** Where the held thing was when it was taken, and the pointer with it. */
  const grip = useRef<{ thing: Thing; from: DOMPoint } | null>(null);
  const units = seen!.units;
  const height = Number(face.height);
  // Holes of a row are one entry of the spec: what is moved is their middle.
  const middle = (hole: HoleSeen): { across: number; up: number } => {
    const all = hole.spot ? face.holes.filter(other => other.spot?.start === hole.spot!.start) : [hole];
    const mean = (key: 'across' | 'up'): number => all.reduce((sum, one) => sum + one[key], 0) / all.length;
    return { across: mean('across'), up: mean('up') };
  };
  const things: Thing[] = [
    ...face.holes.map((hole, at) => ({ at, ...middle(hole), spot: hole.spot })),
    ...face.recesses.map((recess, at) => ({ at: face.holes.length + at, across: recess.across, up: recess.up, spot: recess.spot })),
  ];

  const pathOf = (thing: Thing): Path | null => (thing.spot ? tableAround(fields, thing.spot.start) : null);
  const move = (thing: Thing, across: number, up: number): void => {
    const path = pathOf(thing);
    const node = path && nodeAt(fields, path);
    if (!path || node?.is !== 'table') return;
    const [wide, tall] = face.size;
    const snap = (mm: number): number => Math.round(mm / step(units)) * step(units);
    const inside = (mm: number, most: number): number => Math.min(Math.max(mm, step(units)), most - step(units));
    const middle = Math.abs(across - wide / 2) < wide * MIDDLE;
    const [x, y] = [inside(snap(across), wide), inside(snap(up), tall)];
    const changes: [Path, Change][] = [[[...path, 'across'], { value: middle ? { text: 'centre' } : { plain: lengthText(x, units) } }]];
    changes.push('down' in node.keys ? [[...path, 'down'], { value: { plain: lengthText(snap(tall - y), units) } }] : [[...path, 'up'], { value: { plain: lengthText(y, units) } }]);
    void change(changes, `move ${path.join('/')}`);
  };

  const at = (event: PointerEvent): DOMPoint => new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.current!.getScreenCTM()!.inverse());
  const down = (event: PointerEvent, thing: Thing): void => {
    if (!thing.spot) return;
    event.preventDefault();
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    newStep();
    grip.current = { thing, from: at(event) };
    setHeld(thing.at);
  };
  const drag = (event: PointerEvent): void => {
    if (!grip.current) return;
    const { thing, from } = grip.current;
    const to = at(event);
    move(thing, thing.across + to.x - from.x, thing.up - (to.y - from.y));
  };
  const up = (): void => {
    grip.current = null;
    setHeld(null);
  };
  const keys = (event: KeyboardEvent, thing: Thing): void => {
    const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!by || !thing.spot) return;
    event.preventDefault();
    const far = event.shiftKey ? 10 : 1;
    // From the middle a step leads off it, not back to it.
    const off = (face.size[0] * MIDDLE) / step(units);
    const wide = thing.across === face.size[0] / 2 ? Math.max(far, Math.ceil(off)) : far;
    move(thing, thing.across + by[0] * wide * step(units), thing.up + by[1] * far * step(units));
  };
  const handles = (thing: Thing) => ({
    tabindex: thing.spot ? 0 : -1,
    role: 'button' as const,
    onPointerDown: (event: PointerEvent) => down(event, thing),
    onPointerMove: drag,
    onPointerUp: up,
    onPointerCancel: up,
    onKeyDown: (event: KeyboardEvent) => keys(event, thing),
  });
  const letters = Number(face.letters);
  const stroke = letters / 14;
  return (
    <div class="panel-face">
      <svg ref={svg} class={`face${face.part !== null && face.part === part ? ' is-chosen' : ''}`} viewBox={face.view_box} aria-label={`${face.title}, seen ${face.seen}`}>
        <defs>
          <pattern id="lies-in" width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="in-ground" width="8" height="8" /><path class="in-line" d="M0 4H8" /></pattern>
          <pattern id="lies-out" width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)"><rect class="out-ground" width="8" height="8" /><path class="out-line" d="M0 2H8M0 5H8" /></pattern>
        </defs>
        <g transform={`matrix(${face.onto})`}>
          <path class="board" d={face.outline} />
          {face.covers.map(cover => <path class={cover.inside ? 'lies-in' : 'lies-out'} d={cover.path}><title>{cover.name}, on the {cover.inside ? 'inside' : 'outside'}</title></path>)}
        </g>
        {face.recesses.map((recess, i) => (
          <RecessShape recess={recess} label={saidOf(recess, face, units)} height={height} handles={handles(things[face.holes.length + i])} held={held === face.holes.length + i} />
        ))}
        <g transform={`matrix(${face.onto})`}>
          {face.holes.map((hole, i) => (
            <path class={`bore bore-${hole.status}${hole.spot ? ' can-move' : ''}${held === i ? ' is-held' : ''}`} d={hole.path} aria-label={said(hole, face, units)} {...handles(things[i])} />
          ))}
        </g>
        {face.holes.map(hole => (
          <text class="letter" x={hole.x} y={height - Number(hole.y)} dy="0.36em" font-size={letters * 0.8}>{hole.letter}</text>
        ))}
        {held !== null && things[held] && <Measures thing={things[held]} face={face} units={units} stroke={stroke} letters={letters} />}
      </svg>
      {plan && plan.sheets.length > 0 && face.part !== null && (
        <p><button type="button" onClick={() => set({ part: face.part, view: { at: 'sheets' } })}>Show it on the sheet</button></p>
      )}
      <p class="hint">Seen {face.seen}. {hint(face)}</p>
      <ul class="holes">
        {face.holes.map(hole => (
          <li class={`finding-${hole.status}`}>
            <Mark status={hole.status} />
            <div>
              <p><b>{hole.letter}</b> {said(hole, face, units)}</p>
              {hole.checked.filter(one => one.status !== 'ok').map(one => <p class="advice"><Words text={`${one.check}${one.measured ? ` ${one.measured}` : ''}${one.allowed ? `, allowed ${one.allowed}` : ''}${one.advice ? `: ${one.advice}` : ''}`} /></p>)}
            </div>
          </li>
        ))}
      </ul>
      {face.recesses.length > 0 && (
        <ul class="holes">
          {face.recesses.map(recess => <li><p>{saidOf(recess, face, units)}</p></li>)}
        </ul>
      )}
      {face.covers.length > 0 && <p class="source">On it: {face.covers.map(cover => `${cover.name} (${cover.inside ? 'inside' : 'outside'})`).join(', ')}.</p>}
    </div>
  );
}

const show = (mm: number, units: 'mm' | 'in'): string => `${lengthText(mm, units).replace(/ in$/, '')} ${units}`;

const from = (thing: { across: number; up: number }, face: Face, units: 'mm' | 'in'): string =>
  `${show(thing.across, units)} from the ${face.datum[0]}, ${show(thing.up, units)} from the ${face.datum[1]} edge`;

const said = (hole: HoleSeen, face: Face, units: 'mm' | 'in'): string => `${hole.use_} ${hole.size}: ${from(hole, face, units)}`;

const saidOf = (recess: Recess, face: Face, units: 'mm' | 'in'): string =>
  `${recess.purpose === 'pocket' ? 'recess' : recess.purpose}, ${recess.inside ? 'inside' : 'outside'}, ${recess.size.map(mm => lengthText(mm, units).replace(/ in$/, '')).join(' × ')} ${units}: its middle ${from(recess, face, units)}`;

/** What can be done with what is on a panel. */
function hint(face: Face): string {
  const move = 'Drag a hole or a recess, or choose it with the tab key and move it with the arrow keys; with shift ten steps at once.';
  const given = face.holes.some(hole => !hole.spot);
  const own = face.recesses.length > 0 || face.holes.some(hole => hole.spot);
  if (!own && !given) return 'Nothing is in this panel yet: add a hole or a recess to the box under Your job.';
  return [own && move, given && 'Where nothing moves, size and place come with the box: with who lives in it, or from its other answers.'].filter(Boolean).join(' ');
}

function RecessShape({ recess, label, height, handles, held }: { recess: Recess; label: string; height: number; handles: Record<string, unknown>; held: boolean }) {
  const [wide, tall] = recess.size;
  return (
    <rect
      class={`recess can-move${recess.inside ? ' is-inside' : ''}${held ? ' is-held' : ''}`}
      x={recess.across - wide / 2}
      y={height - recess.up - tall / 2}
      width={wide}
      height={tall}
      aria-label={label}
      {...handles}
    />
  );
}

/** How far the held thing is from the edges that it is measured from. */
function Measures({ thing, face, units, stroke, letters }: { thing: Thing; face: Face; units: 'mm' | 'in'; stroke: number; letters: number }) {
  const y = Number(face.height) - thing.up;
  return (
    <g class="measures" stroke-width={stroke} font-size={letters * 0.7} aria-hidden="true">
      <path d={`M0 ${y}H${thing.across}M${thing.across} ${face.height}V${y}`} />
      <text x={thing.across / 2} y={y - letters * 0.3} text-anchor="middle">{lengthText(thing.across, units)}</text>
      <text x={thing.across + letters * 0.3} y={y + thing.up / 2} dy="0.36em">{lengthText(thing.up, units)}</text>
    </g>
  );
}
