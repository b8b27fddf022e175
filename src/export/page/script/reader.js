// Reads a program's text, word by word, into the moves that a machine makes of it.
//
// The language is RS274/NGC as NIST IR 6556 describes it, as much of it as a 2.5-D router program needs. What is not
// understood is noted and shown, never passed over in silence. Everything comes out in millimetres.

const INCH = 25.4;
// Where a drill starts again above the bottom of its last peck; each controller has a figure of its own.
const PECK_CLEAR = 0.25;

class Reader {
  // What a program does not say: the machine's speed without feed (mm/min), and how many seconds a P of 1 waits.
  constructor(rapid, wait = 1) {
    this.rapid = rapid;
    this.waitUnit = wait;
    this.moves = [];
    this.notes = [];
    this.heads = [];
    this.at = { X: null, Y: null, Z: null };
    this.unit = 1;
    this.motion = null;
    this.relative = false;
    this.feed = null;
    this.wanted = null;
    this.tool = null;
    this.spindle = false;
    this.cycle = {};
    this.backToStart = true;
    this.ended = false;
  }

  read(text) {
    const lines = text.split(/\r?\n/);
    if (lines[lines.length - 1] === '') lines.pop();
    lines.forEach((line, number) => {
      if (!this.ended) this.line(line, number);
    });
    return { lines, moves: this.moves, notes: this.notes, heads: this.heads, unit: this.unit };
  }

  note(number, what) {
    this.notes.push({ line: number, what });
  }

  line(line, number) {
    const comments = [];
    const code = line
      .replace(/\(([^)]*)\)/g, (_, comment) => {
        comments.push(comment);
        return ' ';
      })
      .replace(/;(.*)$/, (_, comment) => {
        comments.push(comment.trim());
        return '';
      });
    for (const text of comments) {
      this.heads.push({ line: number, text, first: this.moves.length });
      // Where a person changes the tool, only the comment for that person says which.
      const hand = /^tool (\d+):/.exec(text);
      if (hand) this.tool = Number(hand[1]);
    }
    if (/^\s*%?\s*$/.test(code)) return;
    const words = [];
    const rest = code.replace(/([A-Za-z])\s*([-+]?(?:\d+\.?\d*|\.\d+))/g, (_, letter, value) => {
      words.push([letter.toUpperCase(), Number(value)]);
      return '';
    });
    if (rest.trim() !== '') this.note(number, `“${rest.trim()}” is not understood`);
    this.block(words, number);
  }

  // One line's words take effect in the standard's order, not in the order they are written.
  block(words, number) {
    const value = {};
    const codes = { G: [], M: [] };
    for (const [letter, amount] of words) {
      if (letter === 'G' || letter === 'M') codes[letter].push(amount);
      else value[letter] = amount;
    }
    for (const letter of Object.keys(value)) {
      if (!'NFSTPXYZIJRQH'.includes(letter)) this.note(number, `the word ${letter} is not understood`);
    }
    if (codes.G.includes(20)) this.unit = INCH;
    if (codes.G.includes(21)) this.unit = 1;
    if (value.F !== undefined) this.feed = value.F * this.unit;
    if (value.T !== undefined) this.wanted = value.T;
    let dwell = false;
    for (const g of codes.G) {
      if (g >= 81 && g <= 83 && !(this.motion >= 81)) this.cycle = { start: this.at.Z };
      if ([0, 1, 2, 3, 81, 82, 83].includes(g)) this.motion = g;
      else if (g === 80) this.motion = null;
      else if (g === 4) dwell = true;
      else if (g === 90) this.relative = false;
      else if (g === 91) this.relative = true;
      else if (g === 98) this.backToStart = true;
      else if (g === 99) this.backToStart = false;
      else if (![17, 20, 21, 40, 43, 49, 54, 61, 64, 94].includes(g)) this.note(number, `G${g} is not understood`);
    }
    for (const m of codes.M) {
      if (m === 6) this.change(number);
      else if (m === 3 || m === 4) this.spindle = true;
      else if (m === 5) this.spindle = false;
      else if (![0, 1, 2, 7, 8, 9, 30].includes(m)) this.note(number, `M${m} is not understood`);
    }
    if (dwell) this.wait(number, 'wait', (value.P || 0) * this.waitUnit);
    else if (['X', 'Y', 'Z'].some(axis => value[axis] !== undefined) || (value.I ?? value.J) !== undefined) this.move(value, number);
    if (codes.M.includes(0) || codes.M.includes(1)) this.wait(number, 'stop', 0);
    if (codes.M.includes(2) || codes.M.includes(30)) this.ended = true;
  }

  change(number) {
    this.tool = this.wanted;
    this.wait(number, 'change', 0);
  }

  wait(number, kind, seconds) {
    this.moves.push({ ...this.start(number), kind, length: 0, seconds });
  }

  start(number) {
    const { X, Y, Z } = this.at;
    return { line: number, tool: this.tool, spindle: this.spindle, feed: this.feed, x0: X, y0: Y, z0: Z, x1: X, y1: Y, z1: Z };
  }

  target(value) {
    const to = { ...this.at };
    for (const axis of ['X', 'Y', 'Z']) {
      if (value[axis] === undefined) continue;
      to[axis] = value[axis] * this.unit + (this.relative ? this.at[axis] || 0 : 0);
    }
    return to;
  }

  move(value, number) {
    if (this.motion === null) return this.note(number, 'a position without a motion code');
    if (this.motion >= 81) return this.drill(value, number);
    const to = this.target(value);
    if (this.motion === 0) this.straight('rapid', to, number);
    else if (this.motion === 1) this.straight('cut', to, number);
    else this.arc(value, to, this.motion === 2, number);
  }

  straight(kind, to, number) {
    const move = { ...this.start(number), kind, x1: to.X, y1: to.Y, z1: to.Z };
    // From where nobody knows: it appears where it arrives.
    for (const axis of ['x', 'y', 'z']) move[axis + '0'] ??= move[axis + '1'];
    move.length = Math.hypot(move.x1 - move.x0, move.y1 - move.y0, move.z1 - move.z0);
    this.take(move, to, number);
  }

  arc(value, to, clockwise, number) {
    const { X, Y } = this.at;
    if (X === null || Y === null) return this.note(number, 'an arc from an unknown place');
    let centre;
    if (value.R !== undefined) {
      centre = arcCentre(X, Y, to.X, to.Y, value.R * this.unit, clockwise);
      if (!centre) return this.note(number, 'an arc whose radius does not reach its end');
    } else {
      centre = [X + (value.I || 0) * this.unit, Y + (value.J || 0) * this.unit];
    }
    const [cx, cy] = centre;
    const radius = Math.hypot(X - cx, Y - cy);
    if (radius < 1e-9) return this.note(number, 'an arc without a radius');
    if (Math.abs(Math.hypot(to.X - cx, to.Y - cy) - radius) > 0.01) this.note(number, 'an arc whose end is not on its circle');
    const from = Math.atan2(Y - cy, X - cx);
    let sweep = Math.atan2(to.Y - cy, to.X - cx) - from;
    const same = Math.hypot(to.X - X, to.Y - Y) < 1e-9;
    if (same) sweep = 2 * Math.PI;
    else while (sweep <= 0) sweep += 2 * Math.PI;
    if (clockwise) sweep = same ? -2 * Math.PI : sweep - 2 * Math.PI;
    const move = { ...this.start(number), kind: 'arc', x1: to.X, y1: to.Y, z1: to.Z, cx, cy, radius, from, sweep };
    move.z0 ??= to.Z;
    move.length = Math.hypot(radius * sweep, move.z1 - move.z0);
    this.take(move, to, number);
  }

  take(move, to, number) {
    this.at = { X: to.X, Y: to.Y, Z: to.Z };
    if (move.kind !== 'rapid' && !(move.feed > 0)) this.note(number, 'a cut without a feed');
    const speed = move.kind === 'rapid' ? this.rapid : move.feed > 0 ? move.feed : this.rapid;
    move.seconds = move.length / speed * 60;
    this.moves.push(move);
  }

  // G81 to G83: over to X Y, down to R without feed, down to Z with feed (in pecks of Q), and out again: to R, or to
  // where the tool was before the first of these cycles.
  drill(value, number) {
    for (const word of ['R', 'Q', 'Z', 'P']) if (value[word] !== undefined) this.cycle[word] = value[word];
    const { R, Q, Z, P, start } = this.cycle;
    if (R === undefined || Z === undefined) return this.note(number, 'a drilling cycle without R or Z');
    const top = R * this.unit, bottom = Z * this.unit;
    const before = this.at.Z;
    const over = { ...this.target({ X: value.X, Y: value.Y }) };
    const to = z => ({ X: over.X, Y: over.Y, Z: z });
    if (before !== null && before < top) this.straight('rapid', { ...this.at, Z: top }, number);
    this.straight('rapid', over, number);
    this.straight('rapid', to(top), number);
    const peck = this.motion === 83 && Q > 0 ? Q * this.unit : Infinity;
    let reached = top;
    while (reached - bottom > 1e-9) {
      if (reached < top) this.straight('rapid', to(Math.min(top, reached + PECK_CLEAR)), number);
      reached = Math.max(bottom, reached - peck);
      this.straight('cut', to(reached), number);
      if (reached > bottom) this.straight('rapid', to(top), number);
    }
    if (this.motion === 82 && P > 0) this.wait(number, 'wait', P * this.waitUnit);
    this.straight('rapid', to(this.backToStart && start !== null ? Math.max(start, top) : top), number);
  }
}

// The centre of an arc of a given radius between two points: the shorter way round, or the longer for a negative radius.
function arcCentre(x0, y0, x1, y1, radius, clockwise) {
  const [dx, dy] = [x1 - x0, y1 - y0];
  const chord = Math.hypot(dx, dy);
  if (chord < 1e-9) return null;
  const rise = radius * radius - chord * chord / 4;
  if (rise < -0.01) return null;
  const far = Math.sqrt(Math.max(0, rise)) / chord * (clockwise === radius > 0 ? 1 : -1);
  return [(x0 + x1) / 2 + dy * far, (y0 + y1) / 2 - dx * far];
}

const readProgram = (text, rapid, wait) => new Reader(rapid, wait).read(text);
