// From a measure of a proof to its line and place in the replay, and to its place on the sheet's picture.

import { placeIn } from './clock';
import { $, around } from './data';
import type { Move } from './moves';
import type { Replay } from './replay';

export function startProof(replay: Replay | null): void {
  if (!replay) return;
  document.addEventListener('click', event => {
    const button = around(event, '.to-line');
    if (!button) return;
    for (const other of document.querySelectorAll('.to-line[aria-current], .ring.is-shown')) {
      other.removeAttribute('aria-current');
      other.classList.remove('is-shown');
    }
    button.setAttribute('aria-current', 'true');
    if (button.dataset.ring) $(button.dataset.ring).classList.add('is-shown');
    const index = Number(button.dataset.program);
    const chosen = $<HTMLSelectElement>('replay-program');
    if (chosen.value !== String(index)) {
      chosen.value = String(index);
      replay.load(index);
    }
    replay.toPlace(Number(button.dataset.line) - 1, button.dataset.at ? (button.dataset.at.split(' ').map(Number) as [number, number, number]) : null);
    const ringed = $('replay-ringed');
    ringed.hidden = false;
    ringed.querySelector('span')!.textContent = button.dataset.said ?? '';
    $('replay').scrollIntoView({ block: 'start' });
    $('replay-view').focus({ preventScroll: true });
  });
}

// The share of a move at which it passes nearest to a place.
export function nearestShare(move: Move, [x, y, z]: [number, number, number]): [number, number] {
  let best: [number, number] = [Infinity, 1];
  for (let i = 0; i <= 64; i++) {
    const [u, v, w] = placeIn(move, i / 64);
    const far = Math.hypot(u - x, v - y, w - z);
    if (far < best[0]) best = [far, i / 64];
  }
  return best;
}
