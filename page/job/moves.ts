// The moves of a program, unpacked: each with its line, its tool, from where to where, and how long it takes.

/** A move; places are in the sheet's frame (mm), null where nobody knows. */
export interface Move {
  line: number;
  tool: number | null;
  feed: number | null;
  kind: 'stop' | 'change' | 'wait' | 'rapid' | 'cut' | 'arc';
  x0: number;
  y0: number;
  z0: number;
  x1: number;
  y1: number;
  z1: number;
  length: number;
  seconds: number;
  /** Of an arc: its centre, radius, the angle where it begins, and how far it turns. */
  cx: number;
  cy: number;
  radius: number;
  from: number;
  sweep: number;
}

const FINE = 1e4;
const [RAPID_MOVE, ARC_MOVE, FEED, CHANGE, WAIT, BY_HAND, LOST] = [0, 2, 3, 4, 5, 7, 8];

// `rapid` is the machine's speed without feed (mm/min).
export function unpackMoves(packed: (number | null)[], rapid: number): Move[] {
  const moves: Move[] = [];
  const at: (number | null)[] = [null, null, null];
  let [i, line] = [0, 0];
  let tool: number | null = null;
  let feed: number | null = null;
  // A place that nobody knows stays null in the moves: whoever draws them asks first.
  const known = (value: number | null): number => (value === null ? null! : value / FINE);
  const next = (): number => packed[i++]!;
  while (i < packed.length) {
    const kind = next();
    if (kind === FEED) {
      feed = next();
      continue;
    }
    if (kind === BY_HAND) {
      tool = next();
      continue;
    }
    if (kind === LOST) {
      at[next()] = null;
      continue;
    }
    line += next();
    if (kind === CHANGE) tool = next();
    const [x, y, z] = at.map(known);
    const move: Move = { line, tool, feed, kind: 'stop', x0: x, y0: y, z0: z, x1: x, y1: y, z1: z, length: 0, seconds: 0, cx: 0, cy: 0, radius: 0, from: 0, sweep: 0 };
    moves.push(move);
    if (kind === CHANGE) move.kind = 'change';
    if (kind === WAIT) Object.assign(move, { kind: 'wait', seconds: next() });
    if (kind > ARC_MOVE) continue;
    const steps = packed.slice(i, i + 3);
    i += 3;
    steps.forEach((step, axis) => {
      at[axis] = step === null ? null : (at[axis] ?? 0) + step;
    });
    [move.x1, move.y1, move.z1] = at.map(known);
    // From where nobody knows: it appears where it arrives.
    for (const name of ['x', 'y', 'z'] as const) move[`${name}0`] ??= move[`${name}1`];
    move.kind = kind === RAPID_MOVE ? 'rapid' : 'cut';
    const flat = Math.hypot(move.x1 - move.x0, move.y1 - move.y0);
    move.length = Math.hypot(flat, move.z1 - move.z0);
    if (kind === ARC_MOVE) {
      const [dx, dy, sweep] = packed.slice(i, i + 3) as number[];
      i += 3;
      const radius = Math.hypot(dx, dy) / FINE;
      Object.assign(move, { kind: 'arc', cx: move.x0 + dx / FINE, cy: move.y0 + dy / FINE, radius, from: Math.atan2(-dy, -dx), sweep });
      move.length = Math.hypot(radius * sweep, move.z1 - move.z0);
    }
    move.seconds = (move.length / (kind === RAPID_MOVE || !(feed !== null && feed > 0) ? rapid : feed)) * 60;
  }
  return moves;
}
