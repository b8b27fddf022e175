// What was found, worst first, and what it costs.

import { Band, Mark } from './mark';
import { called, toField } from './place';
import { pathTo, shown, tableAround, tablesOf, type Path } from './spec';
import { Problems } from './text';
import type { Finding, Status } from './told';
import { useBench } from './use';
import { Words } from './words';
import { enough, longer, make } from './planning';
import { set, type State } from './state';
import { nameOf } from './work';

/** The one line that is always in sight. */
export function verdict(state: State): { status: Status | 'waiting'; text: string } {
  const refused = state.refused.length || state.seen?.themes.flatMap(theme => theme.findings).filter(one => one.status === 'refused').length || 0;
  const things = (count: number): string => (count === 1 ? 'one thing' : `${count} things`);
  switch (state.stage) {
    case 'reading':
      return { status: 'waiting', text: 'Reading' };
    case 'unread':
      return { status: 'refused', text: `${things(state.problems.length)} can't be read` };
    case 'refused':
      return { status: 'refused', text: `${things(refused)} won't work` };
    case 'fault':
      return { status: 'refused', text: 'A fault of ours' };
    case 'trying':
      return { status: 'waiting', text: 'It fits; trying how each part is cut' };
    case 'laying':
      return { status: 'waiting', text: 'It fits; laying out the sheets' };
    case 'better':
      return { status: 'waiting', text: 'It can be made; looking for fewer sheets' };
    case 'ready': {
      const cautions = state.seen?.cautions ?? 0;
      return cautions ? { status: 'caution', text: `Ready; ${things(cautions)} to look at` } : { status: 'ok', text: 'Ready; every check passed' };
    }
  }
}

const RANK: Record<Status, number> = { ok: 0, accepted: 1, caution: 2, refused: 3 };

export function Told() {
  const state = useBench();
  const { stage, seen, plan, problems, refused, fault, fresh } = state;
  const { status, text } = verdict(state);
  // What stops the job comes before what is only to be looked at, whatever it is about.
  const open = (seen?.themes.filter(theme => theme.open) ?? []).flatMap(theme => theme.findings).sort((a, b) => RANK[b.status] - RANK[a.status]);
  const closed = seen?.themes.filter(theme => !theme.open) ?? [];
  const passed = closed.reduce((sum, theme) => sum + theme.findings.length, 0);
  const stale = stage === 'unread' || stage === 'fault';
  return (
    <section class="strip told" aria-labelledby="told-title">
      <div class="strip-head"><h2 id="told-title">Checks</h2></div>
      <div class={`verdict verdict-${status}`} id="verdict">
        <Mark status={status} />
        <div>
          <p class="verdict-text">{text}</p>
          <Next state={state} />
        </div>
      </div>
      <Problems problems={problems} />
      {fault && <p class="wrong">{fault} Please keep the spec: it helps to mend this. What you wrote is not lost.</p>}
      {refused.filter(one => one.status === 'refused').map(one => (
        <div class="finding finding-refused"><Mark status="refused" /><div><h3 class="finding-title">{one.check} <span>{one.subject}</span></h3><p class="advice"><Words text={one.advice} /></p></div></div>
      ))}
      {!stale && open.length > 0 && <ul class="findings">{open.map(one => <FindingRow of={one} fresh={fresh.has(nameOf(one))} />)}</ul>}
      {!stale && passed > 0 && (
        <details class="passed">
          <summary><Mark status="ok" /> {passed} checks passed</summary>
          {closed.map(theme => (
            <>
              <h3>{theme.title}</h3>
              <ul class="findings">{theme.findings.map(one => <FindingRow of={one} fresh={fresh.has(nameOf(one))} deep />)}</ul>
            </>
          ))}
        </details>
      )}
      {plan && !stale && <Costs state={state} />}
    </section>
  );
}

function Next({ state }: { state: State }) {
  const { stage, plan, effort, making } = state;
  if (stage === 'refused') return <p>Change what is named below; nothing is cut like this.</p>;
  if (stage === 'unread') return <p>What you wrote is kept. Mend the places below.</p>;
  return (
    <div class="next">
      {plan && stage !== 'fault' && (
        <button type="button" class="act" disabled={making} onClick={() => void make()}>
          {making ? 'Making' : 'Make the folder'}
        </button>
      )}
      {stage === 'better' && <button type="button" onClick={enough}>Take this plan</button>}
      {stage === 'ready' && effort >= 0 && plan && plan.sheets.length > 1 && <button type="button" onClick={() => void longer()}>Search longer</button>}
    </div>
  );
}

/** Of a check that points at no place of the spec, the answers that change what it measures: the first that the box's kind has. */
const ANSWERS: Record<string, string[]> = {
  'bee-space-ends': ['end-gap', 'rest'],
  'bee-space-sides': ['side-gap', 'frames'],
  'bee-space-above': ['above'],
  'frame-tops': ['above'],
  'space-below-frames': ['below'],
  'lug-bearing': ['rest', 'lug-gap'],
  'lug-play': ['lug-gap'],
  'frame-row': ['side-gap', 'frames'],
  'top-bar-space': ['frame'],
  'cover-comes-off': ['cover-play'],
  'cover-play': ['cover-play'],
  'cover-reach': ['cover-overhang'],
  'cover-hang': ['cover-rim', 'cover'],
  'cavity-volume': ['inside'],
  'cavity-size': ['inside'],
  'entrance-height': ['entrance'],
  'corner-fingers': ['corner'],
  'corner-joint': ['corner'],
};

/** Where the maker can change what a check measures, if the spec says it there or could. */
function answer(of: Finding, state: State): Path | null {
  const spot = of.spot && (pathTo(state.fields, of.spot.start) ?? tableAround(state.fields, of.spot.start));
  if (spot && spot.length > 0) return spot;
  const boxes = tablesOf(state.fields?.keys.box);
  const at = boxes.findIndex(box => of.of === shown(box.keys.name) || of.of.startsWith(`${shown(box.keys.name)},`));
  if (at < 0) return null;
  const kind = state.keys?.kinds[shown(boxes[at].keys.kind)]?.keys ?? [];
  const key = ANSWERS[of.id]?.find(name => kind.some(one => one.name === name));
  if (key) return ['box', at, key];
  const board = tablesOf(state.fields?.keys.stock).findIndex(one => shown(one.keys.name) === shown(boxes[at].keys.stock));
  return of.id === 'stock-thickness' ? ['stock', Math.max(0, board), 'thickness'] : null;
}

/** From a check to what it measures. */
function place(of: Finding, state: State): (() => void) | null {
  const face = state.seen?.faces.filter(one => of.of === one.title || of.of.startsWith(`${one.title},`)).sort((a, b) => b.title.length - a.title.length)[0];
  if (face) return () => set({ view: { at: 'panel', face: face.title } });
  if (of.id.startsWith('bee-space') || of.id.startsWith('lug')) {
    const box = state.seen?.boxes.findIndex(one => of.of.startsWith(one.name)) ?? -1;
    return () => set({ view: { at: 'section' }, box: Math.max(0, box) });
  }
  return null;
}

function FindingRow({ of, fresh, deep = false }: { of: Finding; fresh: boolean; deep?: boolean }) {
  const state = useBench();
  const go = place(of, state);
  const spot = answer(of, state);
  const Title = deep ? 'h4' : 'h3';
  return (
    <li class={`finding finding-${of.status}${fresh ? ' is-fresh' : ''}`}>
      <Mark status={of.status} />
      <div>
        <Title class="finding-title">{go ? <button type="button" class="link" onClick={go}>{of.check}</button> : of.check} <span>{of.subject}</span></Title>
        {of.advice && <p class="advice"><Words text={of.advice} /></p>}
        {of.measured && (
          <div class="measure">
            <p><b>{of.measured}</b>{of.allowed && <span> <span class="unseen">allowed: </span>{of.allowed === of.measured ? 'and no other' : of.allowed}</span>}</p>
            {of.bar && <Band bar={of.bar} />}
          </div>
        )}
        {!deep && spot && <p><button type="button" class="link" onClick={() => toField(spot)}>Change it: {called(spot)}</button></p>}
        {of.source && <p class="source"><span class="unseen">Source: </span>{of.source}</p>}
      </div>
    </li>
  );
}

function Costs({ state }: { state: State }) {
  const plan = state.plan!;
  return (
    <div class="costs">
      <h3>What it takes</h3>
      <dl>
        {plan.sheets.map(sheet => <div><dt>Sheet {sheet.number} <span>{sheet.heading}</span></dt><dd>{sheet.used}</dd></div>)}
        {plan.saw && <div><dt>By hand, sheets</dt><dd>{plan.saw.sheets.length}</dd></div>}
        {plan.saw && <div><dt>Steps at the saw</dt><dd>{plan.saw.steps}</dd></div>}
        {plan.minutes && <div><dt>The router runs</dt><dd>{plan.minutes} min</dd></div>}
        {plan.cost?.boxes.map(box => <div><dt>{state.seen?.boxes.some(one => one.name === box.name) ? <>One {box.name}{box.count > 1 && <span>, of {box.count}</span>}</> : <span class="first-up">{box.name}</span>}{box.price && <span> sells at {box.price}</span>}</dt><dd>{box.cost}</dd></div>)}
        {plan.cost && <div class="sum"><dt>The whole job</dt><dd>{plan.cost.total}</dd></div>}
      </dl>
      {plan.cost && plan.cost.not_priced.length > 0 && <p class="hint">Without a price, and in no sum: {plan.cost.not_priced.join(', ')}.</p>}
      {!plan.cost && <p class="hint">Give the board a price, and it is reckoned what a box costs.</p>}
    </div>
  );
}
