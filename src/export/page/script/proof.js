// From a measure of a proof to its line and place in the replay, and to its place on the sheet's picture.

function startProof(replay) {
  if (!replay) return;
  document.addEventListener('click', event => {
    const button = event.target.closest('.to-line');
    if (!button) return;
    for (const other of document.querySelectorAll('.to-line[aria-current], .ring.is-shown')) {
      other.removeAttribute('aria-current');
      other.classList.remove('is-shown');
    }
    button.setAttribute('aria-current', 'true');
    if (button.dataset.ring) $(button.dataset.ring).classList.add('is-shown');
    const index = Number(button.dataset.program);
    if ($('replay-program').value !== String(index)) {
      $('replay-program').value = String(index);
      replay.load(index);
    }
    replay.toPlace(Number(button.dataset.line) - 1, button.dataset.at ? button.dataset.at.split(' ').map(Number) : null);
    const ringed = $('replay-ringed');
    ringed.hidden = false;
    ringed.querySelector('span').textContent = button.dataset.said;
    $('replay').scrollIntoView({ block: 'start' });
    $('replay-view').focus({ preventScroll: true });
  });
}

// The share of a move at which it passes nearest to a place.
function nearestShare(move, [x, y, z]) {
  let best = [Infinity, 1];
  for (let i = 0; i <= 64; i++) {
    const [u, v, w] = placeIn(move, i / 64);
    const far = Math.hypot(u - x, v - y, w - z);
    if (far < best[0]) best = [far, i / 64];
  }
  return best;
}
