// A box as it stands after the next step of its assembly: what is added stands out, on its way to its place.

import { BoxView, attach } from '../view/boxview';
import type { BoxSolid, PanelSolid, StepMove } from '../view/solids';
import { choice } from './choice';
import { scene } from './data';
import { ticks } from './ticks';

export function startBuilds(): void {
  for (const place of document.querySelectorAll<HTMLElement>('[data-build]')) build(place);
}

function build(place: HTMLElement): void {
  const box = scene.boxes[Number(place.dataset.build)];
  const canvas = place.querySelector<HTMLCanvasElement>('.build-view')!;
  if (!box || box.steps.length === 0) return;
  let now = 0;
  const view: BoxView = new BoxView(canvas, {
    seen: panel => standing(box, now).has(box.panels.indexOf(panel)),
    hue: 'added',
    up: () => box.steps[now].up,
    lit: panel => touched(box.steps[now]).includes(box.panels.indexOf(panel)),
    offset: panel => (box.steps[now].adds.length > 0 && view.isLit(panel) ? comes(box.steps[now], panel).map(x => x * 0.55 * view.gap) : [0, 0, 0]),
  });
  view.show(box);
  attach(view, panel => {
    if (panel.part !== null) choice.take(panel.part);
  });
  const show = (index: number) => {
    now = Math.max(0, Math.min(box.steps.length - 1, index));
    const { number, adds } = box.steps[now];
    const names = touched(box.steps[now]).map(i => box.panels[i].name).join(', ');
    place.querySelector('.build-said')!.textContent = `Step ${number}${names ? `: ${adds.length > 0 ? '' : 'on the '}${names}` : ''}`;
    canvas.dataset.step = String(number);
    view.soon();
  };
  place.querySelector('[data-build-back]')!.addEventListener('click', () => show(now - 1));
  place.querySelector('[data-build-on]')!.addEventListener('click', () => show(now + 1));
  // Whatever is ticked, the picture goes on to the next step that is not.
  const follow = () => {
    const next = place.querySelector<HTMLElement>('li.is-next[data-step]');
    const index = next ? box.steps.findIndex(step => step.number === Number(next.dataset.step)) : box.steps.length - 1;
    show(index);
  };
  ticks.watchers.push(follow);
  follow();
}

// The panels that are seen at a step: of a sub-assembly on the bench only its own, of the box all that is in its place.
function standing(box: BoxSolid, index: number): Set<number> {
  const { sub_assembly: sub, places, adds, onto } = box.steps[index];
  const seen = new Set<number>();
  for (const step of box.steps.slice(0, index + 1)) {
    const own = sub !== '' && !places ? step.sub_assembly === sub && !step.places : step.sub_assembly === '' || step.places;
    if (own) step.adds.forEach(panel => seen.add(panel));
  }
  // Something is fixed on a panel that still lies by itself.
  if (adds.length === 0 && onto.some(panel => !seen.has(panel))) return new Set(onto);
  return seen;
}

// What a step is about: the panels it adds, or those that something is fixed on.
const touched = (step: StepMove): number[] => (step.adds.length > 0 ? step.adds : step.onto);

// From which side a panel comes in a step. Where a step adds two from opposite sides, each comes from its own.
function comes(step: StepMove, panel: PanelSolid): number[] {
  if (!step.way) return [0, 0, 0];
  const out = step.way.map(x => -x);
  const against = out[0] * panel.way[0] + out[1] * panel.way[1] + out[2] * panel.way[2] < -0.5;
  return step.adds.length > 1 && !step.places && against ? panel.way : out;
}
