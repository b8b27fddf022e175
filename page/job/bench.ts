// The replay's buttons, keys and fingers.

import { night } from '../view/wishes';
import { $, job, scene, type Six } from './data';
import { Replay, ZOOMS } from './replay';
import type { Piece } from './wood';

export function startReplay(): Replay | null {
  if (!$('replay') || scene.programs.length === 0) return null;
  const replay = new Replay();
  const { canvas } = replay;
  const toggle = () => (replay.playing ? replay.stop() : replay.play());
  $('replay-play').addEventListener('click', toggle);
  const valueOf = (event: Event): number => Number((event.target as HTMLInputElement).value);
  $('replay-program').addEventListener('change', event => replay.load(valueOf(event)));
  $('replay-back').addEventListener('click', () => replay.by(-1));
  $('replay-on').addEventListener('click', () => replay.by(1));
  $('replay-speed').addEventListener('change', event => { replay.speed = valueOf(event); });
  $('replay-time').addEventListener('input', event => {
    replay.stop();
    replay.toTime(valueOf(event) / 1000 * replay.clock.total);
  });
  $('replay-time').addEventListener('change', () => replay.say());
  $('replay-goto').addEventListener('change', event => {
    replay.stop();
    replay.toTime(replay.clock.startOf(replay.marks[valueOf(event)].first));
    replay.say();
  });
  const zoom = (by: number) => {
    replay.zoom = Math.max(0, Math.min(ZOOMS.length - 1, replay.zoom + by));
    if (replay.zoom === 0) replay.middle = [replay.wood.length / 2, replay.wood.width / 2];
    replay.draw();
  };
  $('replay-in').addEventListener('click', () => zoom(1));
  $('replay-out').addEventListener('click', () => zoom(-1));
  $('replay-follow').addEventListener('change', () => replay.draw());
  $('replay-paths').addEventListener('change', () => replay.draw());
  canvas.addEventListener('keydown', event => {
    const keys: Record<string, () => void> = { ' ': toggle, ArrowRight: () => replay.by(1), ArrowLeft: () => replay.by(-1), '+': () => zoom(1), '=': () => zoom(1), '-': () => zoom(-1) };
    if (!keys[event.key]) return;
    keys[event.key]();
    event.preventDefault();
  });
  $('replay-listing').addEventListener('keydown', event => {
    const by = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (!by) return;
    replay.by(by);
    event.preventDefault();
  });
  let hold: [number, number] | null = null;
  canvas.addEventListener('pointerdown', event => {
    if (replay.zoom === 0) return;
    hold = [event.clientX, event.clientY];
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener('pointermove', event => {
    if (!hold) return;
    const scale = replay.window(canvas.clientWidth, canvas.clientHeight)[2];
    $<HTMLInputElement>('replay-follow').checked = false;
    replay.middle = [replay.middle[0] - (event.clientX - hold[0]) / scale, replay.middle[1] + (event.clientY - hold[1]) / scale];
    hold = [event.clientX, event.clientY];
    // What is dragged past the edge does not have to be dragged back.
    const [left, lower, dots] = replay.window(canvas.clientWidth, canvas.clientHeight);
    replay.middle = [left + canvas.clientWidth / 2 / dots, lower + canvas.clientHeight / 2 / dots];
    replay.draw();
  });
  for (const end of ['pointerup', 'pointercancel']) canvas.addEventListener(end, () => { hold = null; });
  night.addEventListener('change', () => replay.draw());
  new ResizeObserver(() => replay.draw()).observe(canvas);
  return replay;
}

// The pieces of a sheet, from its picture in this page; in the mirror where the sheet lies on its other face.
export function piecesOf(sheet: number, mirror: Six = [1, 0, 0, 1, 0, 0]): Piece[] {
  const [p, q, r, s, t, u] = mirror;
  const { width } = job.sheets[sheet];
  return [...document.querySelectorAll<HTMLElement>(`#sheet-${sheet + 1} .piece`)].map(piece => {
    const [shape, label] = piece.children;
    const [a, b, c, d, e, f] = /matrix\([^)]*\) matrix\(([^)]*)\)/.exec(shape.getAttribute('transform')!)![1].split(' ').map(Number);
    const [x, y] = /translate\(([^)]*)\)/.exec(label.getAttribute('transform')!)![1].split(' ').map(Number);
    return {
      path: new Path2D($(`shape-${piece.dataset.part}`).querySelector('path')!.getAttribute('d')!),
      matrix: [p * a + r * b, q * a + s * b, p * c + r * d, q * c + s * d, p * e + r * f + t, q * e + s * f + u],
      number: String(Number(piece.dataset.part) + 1),
      x: p * x + r * (width - y) + t,
      y: q * x + s * (width - y) + u,
      size: Number(label.getAttribute('font-size')),
      turned: label.getAttribute('transform')!.includes('rotate'),
    };
  });
}
