// The moves of a program, unpacked: each with its line, its tool, from where to where, and how long it takes.

const FINE = 1e4;
const [RAPID_MOVE, ARC_MOVE, FEED, CHANGE, WAIT, BY_HAND, LOST] = [0, 2, 3, 4, 5, 7, 8];

// `rapid` is the machine's speed without feed (mm/min).
function unpackMoves(packed, rapid) {
  const moves = [];
  const at = [null, null, null];
  let [i, line, tool, feed] = [0, 0, null, null];
  const known = value => (value === null ? null : value / FINE);
  while (i < packed.length) {
    const kind = packed[i++];
    if (kind === FEED) {
      feed = packed[i++];
      continue;
    }
    if (kind === BY_HAND) {
      tool = packed[i++];
      continue;
    }
    if (kind === LOST) {
      at[packed[i++]] = null;
      continue;
    }
    line += packed[i++];
    if (kind === CHANGE) tool = packed[i++];
    const [x, y, z] = at.map(known);
    const move = { line, tool, feed, kind: 'stop', x0: x, y0: y, z0: z, x1: x, y1: y, z1: z, length: 0, seconds: 0 };
    moves.push(move);
    if (kind === CHANGE) move.kind = 'change';
    if (kind === WAIT) Object.assign(move, { kind: 'wait', seconds: packed[i++] });
    if (kind > ARC_MOVE) continue;
    const steps = packed.slice(i, i + 3);
    i += 3;
    steps.forEach((step, axis) => {
      at[axis] = step === null ? null : (at[axis] ?? 0) + step;
    });
    [move.x1, move.y1, move.z1] = at.map(known);
    // From where nobody knows: it appears where it arrives.
    for (const name of ['x', 'y', 'z']) move[`${name}0`] ??= move[`${name}1`];
    move.kind = kind === RAPID_MOVE ? 'rapid' : 'cut';
    const flat = Math.hypot(move.x1 - move.x0, move.y1 - move.y0);
    move.length = Math.hypot(flat, move.z1 - move.z0);
    if (kind === ARC_MOVE) {
      const [dx, dy, sweep] = packed.slice(i, i + 3);
      i += 3;
      const radius = Math.hypot(dx, dy) / FINE;
      Object.assign(move, { kind: 'arc', cx: move.x0 + dx / FINE, cy: move.y0 + dy / FINE, radius, from: Math.atan2(-dy, -dx), sweep });
      move.length = Math.hypot(radius * sweep, move.z1 - move.z0);
    }
    move.seconds = (move.length / (kind === RAPID_MOVE || !(feed > 0) ? rapid : feed)) * 60;
  }
  return moves;
}
