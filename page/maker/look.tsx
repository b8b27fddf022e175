// One stage: the box, its section, a panel's face, the sheets, the saw plan, the files, and the job page at the machine.

import { useEffect, useRef, useState } from 'preact/hooks';
import { BoxStage } from './box';
import { Files, Machine } from './files';
import { PanelStage } from './panel';
import type { Laid, Piece } from './told';
import { useBench } from './use';
import { set, type View } from './state';
import { section } from './work';

const NAMES: [View['at'], string][] = [
  ['box', 'Box'],
  ['section', 'Section'],
  ['panel', 'Holes'],
  ['sheets', 'Sheets'],
  ['saw', 'Saw'],
  ['files', 'Folder'],
  ['machine', 'At the machine'],
];

export function Look() {
  const { seen, view, plan: made, first, files, saw, stage } = useBench();
  const plan = made ?? first;
  const has: Record<View['at'], boolean> = {
    box: true,
    section: seen?.themes.some(theme => theme.findings.some(one => one.id.startsWith('bee-space'))) ?? false,
    panel: (seen?.faces.length ?? 0) > 0,
    sheets: (plan?.sheets.length ?? 0) > 0,
    saw: saw.length > 0,
    files: files !== null,
    machine: files !== null,
  };
  const at = has[view.at] ? view.at : 'box';
  const go = (to: View['at']): void => set({ view: to === 'panel' ? { at: 'panel', face: (seen?.faces.find(face => face.holes.length > 0) ?? seen?.faces[0])?.title ?? '' } : { at: to } });
  return (
    <section class="strip look" aria-labelledby="look-title">
      <div class="strip-head">
        <h2 id="look-title">Look</h2>
        <div class="toggle" role="group" aria-label="What is looked at">
          {NAMES.filter(([name]) => has[name]).map(([name, title]) => (
            <button type="button" aria-pressed={at === name} onClick={() => go(name)}>{title}</button>
          ))}
        </div>
      </div>
      {stage === 'unread' && <p class="stale">{seen ? 'As it was before what can’t be read; mend that, and it follows.' : 'Nothing to see until the text can be read.'}</p>}
      <div class={`stage${stage === 'unread' ? ' is-stale' : ''}`}>
        {!seen && stage === 'reading' && <p class="hint">The box is being built.</p>}
        {seen && at === 'box' && <BoxStage />}
        {seen && at === 'section' && <Section />}
        {seen && at === 'panel' && <PanelStage title={view.at === 'panel' ? view.face : ''} />}
        {plan && at === 'sheets' && <Sheets plan={plan} />}
        {at === 'saw' && <Pictures of={saw} what="Saw plan, sheet" />}
        {at === 'files' && <Files />}
        {at === 'machine' && <Machine />}
      </div>
    </section>
  );
}

/** A drawing as an image: nothing in it can run. */
export function Drawing({ svg, alt }: { svg: string; alt: string }) {
  const [address, setAddress] = useState('');
  const [large, setLarge] = useState(false);
  useEffect(() => {
    const made = URL.createObjectURL(new Blob([svg], { type: 'image/svg+xml' }));
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [svg]);
  return (
    <>
      <div class={`drawing${large ? ' is-large' : ''}`} tabIndex={0} role="region" aria-label={alt}>
        {address && <img src={address} alt={alt} />}
      </div>
      <p class="row"><button type="button" aria-pressed={large} onClick={() => setLarge(!large)}>Larger</button></p>
    </>
  );
}

function Pictures({ of, what }: { of: string[]; what: string }) {
  return (
    <>
      {of.map((svg, i) => (
        <Drawing svg={svg} alt={`${what} ${i + 1}`} />
      ))}
      <p class="hint">The cuts in order, with their cautions and boxes to tick, are in the folder and under “At the machine”.</p>
    </>
  );
}

function Section() {
  const { seen, box } = useBench();
  const [svg, setSvg] = useState('');
  useEffect(() => {
    let gone = false;
    section(box).then(drawn => {
      if (!gone) setSvg(drawn);
    }, () => {});
    return () => {
      gone = true;
    };
  }, [seen, box]);
  const name = seen!.boxes[box]?.name ?? '';
  return (
    <>
      <BoxChips />
      {svg ? <Drawing svg={svg} alt={`${name}: section along and across the frames, with the bee spaces`} /> : <p class="hint">No frames hang in this box.</p>}
    </>
  );
}

export function BoxChips() {
  const { seen, box } = useBench();
  if (!seen || seen.boxes.length < 2) return null;
  return (
    <div class="chips" role="group" aria-label="Boxes">
      {seen.boxes.map((one, i) => (
        <button type="button" aria-pressed={i === box} onClick={() => set({ box: i })}>{one.name}</button>
      ))}
    </div>
  );
}

function Sheets({ plan }: { plan: Laid }) {
  const { part, seen } = useBench();
  const chosen = part === null ? null : plan.parts[part];
  return (
    <div class="sheets">
      <svg class="shapes" width="0" height="0" aria-hidden="true" focusable="false">
        <defs>
          {plan.parts.map((one, i) => (
            <g id={`shape-${i}`}>
              <path fill-rule="evenodd" d={one.shape} />
              {one.pockets.map(path => <path class="pocket" d={path} />)}
              {one.below.map(path => <path class="pocket below" d={path} />)}
              {one.label && <path class="engraved" d={one.label} />}
            </g>
          ))}
        </defs>
      </svg>
      <div class="chosen-part" aria-live="polite">
        {chosen ? `${chosen.number} ${chosen.name}: cut ${chosen.count}, ${chosen.size.join(' × ')}` : 'Tap a piece to find it in the box.'}
        {chosen?.of && <button type="button" onClick={() => set({ view: { at: 'box' }, box: Math.max(0, seen!.boxes.findIndex(one => one.name === chosen.of)) })}>Show it in the box</button>}
      </div>
      {plan.sheets.map(sheet => (
        <figure>
          <figcaption><b>Sheet {sheet.number}</b> {sheet.heading}; {sheet.used} becomes parts</figcaption>
          <SheetPicture sheet={sheet} plan={plan} />
        </figure>
      ))}
      <p class="hint">Seen as it lies on the machine, most parts with their inner face up. The ringed corner is X0 Y0. Face grain runs from left to right.</p>
    </div>
  );
}

function SheetPicture({ sheet, plan }: { sheet: Laid['sheets'][number]; plan: Laid }) {
  const { part } = useBench();
  const group = useRef<SVGSVGElement>(null);
  const take = (piece: Piece): void => set({ part: piece.part === part ? null : piece.part });
  const keys = (event: KeyboardEvent, at: number): void => {
    const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (by) {
      const all = [...group.current!.querySelectorAll<SVGGElement>('.piece')];
      all[(at + by + all.length) % all.length].focus();
    } else if (event.key === 'Enter' || event.key === ' ') {
      take(sheet.pieces[at]);
    } else {
      return;
    }
    event.preventDefault();
  };
  return (
    <svg ref={group} viewBox={sheet.view_box} role="group" aria-label={`Sheet ${sheet.number} with ${sheet.pieces.length} pieces; arrow keys go from piece to piece`}>
      <rect class="waste" x="0" y="0" width={sheet.length} height={sheet.width} />
      {sheet.pieces.map((piece, i) => (
        <g class={`piece${piece.part === part ? ' is-chosen' : ''}`} role="button" tabindex={i === 0 ? 0 : -1} aria-label={`${piece.part + 1} ${plan.parts[piece.part].name}`} onClick={() => take(piece)} onKeyDown={event => keys(event, i)}>
          <g transform={`matrix(1 0 0 -1 0 ${sheet.width}) matrix(${piece.matrix})`}><use href={`#shape-${piece.part}`} /></g>
          {piece.number && (
            <g transform={`translate(${piece.number.x} ${piece.number.y})${piece.number.turned ? ' rotate(-90)' : ''}`} font-size={piece.number.size}>
              <text class="piece-no" y={piece.number.named ? '0' : '0.35em'}>{piece.part + 1}</text>{' '}
              {piece.number.named && <text class="piece-name" y="1.15em">{plan.parts[piece.part].name}</text>}
            </g>
          )}
        </g>
      ))}
      <g class="zero" transform={`translate(0 ${sheet.width})`}><path d="M-26 0H60M0 26V-60" /><circle r="14" /></g>
    </svg>
  );
}
