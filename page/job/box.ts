// The finished box: taken apart by a slider, its parts chosen by a tap.

import { BoxView, CORNER, TURNS, attach } from '../view/boxview';
import { choice } from './choice';
import { $, job, scene } from './data';

export function startBox(): void {
  const canvas = $<HTMLCanvasElement>('box-view');
  if (!canvas) return;
  let apart = 0;
  const view: BoxView = new BoxView(canvas, {
    lit: panel => panel.part !== null && panel.part === choice.part,
    offset: panel => panel.way.map(x => x * panel.rank * view.gap * apart),
  });
  view.show(scene.boxes[0]);
  const slider = $<HTMLInputElement>('box-apart');
  const setApart = (value: number) => {
    apart = value / 100;
    slider.setAttribute('aria-valuetext', value === 0 ? 'together' : value === 100 ? 'fully apart' : `${value} % apart`);
    view.soon();
  };
  setApart(0);
  slider.addEventListener('input', () => setApart(Number(slider.value)));
  const nudge = (by: number) => {
    slider.value = String(Number(slider.value) + by);
    setApart(Number(slider.value));
  };

  attach(view, panel => {
    if (panel.part !== null) choice.take(panel.part);
  });
  canvas.addEventListener('keydown', event => {
    if (event.key === '+' || event.key === '=') nudge(10);
    else if (event.key === '-') nudge(-10);
    else return;
    event.preventDefault();
  });
  for (const button of document.querySelectorAll<HTMLElement>('[data-turn]')) {
    button.addEventListener('click', () => {
      const way = button.dataset.turn!;
      if (TURNS[way]) return view.turn(...TURNS[way]);
      if (way === 'corner') view.look(CORNER.yaw, CORNER.pitch);
      else view.look(way === 'front' ? 0 : Math.PI, 0.12);
    });
  }
  for (const button of document.querySelectorAll<HTMLElement>('[data-box]')) {
    button.addEventListener('click', () => {
      for (const other of document.querySelectorAll('[data-box]')) other.setAttribute('aria-pressed', String(other === button));
      document.querySelectorAll<HTMLElement>('.box-size').forEach((size, i) => { size.hidden = i !== Number(button.dataset.box); });
      view.show(scene.boxes[Number(button.dataset.box)]);
    });
  }
  choice.watchers.push(() => {
    const box = choice.part === null ? null : job.parts[choice.part].box;
    const index = scene.boxes.findIndex(one => one.name === box);
    if (index >= 0 && scene.boxes[index] !== view.box) document.querySelector<HTMLElement>(`[data-box="${index}"]`)!.click();
    view.soon();
  });
}
