// The sheet as it is cut: wood that gets darker the deeper it is cut, and is gone where it is cut through.

import { placeIn, type At } from './clock';
import type { Six } from './data';
import type { Move } from './moves';

// From the sheet's face down. Every step is darker than the one before in red, green and blue alike, so that laying one
// over another with the darker kept shows the deepest cut, whichever came last.
export const DEPTHS = ['#e0b877', '#cfa15f', '#b98949', '#9f7138', '#82592b', '#64421f'];
export const GONE = '#11161c';
const BOARD = { waste: '#efe3c8', part: '#ecd6ae', line: 'rgba(70, 52, 28, .6)', number: 'rgba(70, 52, 28, .42)' };
// The picture of the wood covers the whole sheet while that takes no more pixels than this.
const MOST_PIXELS = 3e6;
// Else it covers so much more than what is in sight, on each side, as a share of what is in sight.
const BESIDE = 0.3;
// So many stretches are stroked at once at most.
const MOST_STRETCHES = 100;
export const START: At = { index: 0, share: 0 };

/** A piece as an outline on the sheet with y up, and its number. */
export interface Piece {
  path: Path2D;
  matrix: Six;
  number: string;
  x: number;
  y: number;
  size: number;
  turned: boolean;
}

/** A program that cuts: its moves, and the width of a tool by its number. */
export interface Cutting {
  moves: Move[];
  diameter: (tool: number | null) => number;
}

interface Stroke {
  step: number;
  wide: number;
  path: Path2D;
  x: number;
  y: number;
  count: number;
}

const isBefore = (one: At, other: At): boolean => one.index < other.index || (one.index === other.index && one.share < other.share);

export class Wood {
  length: number;
  width: number;
  thickness: number;
  private canvas = document.createElement('canvas');
  private context = this.canvas.getContext('2d')!;
  private seen: { left: number; lower: number; right: number; upper: number; scale: number; to: At } | null = null;

  // `earlier` and `now` are programs: those run before, and the one that is played.
  constructor(sheet: { length: number; width: number; thickness: number }, private pieces: Piece[], public top: number, private earlier: Cutting[], private now: Cutting) {
    this.length = sheet.length;
    this.width = sheet.width;
    this.thickness = sheet.thickness;
  }

  // Draws the wood as it is when the program is at `to`, on a picture of width × height dots whose lower-left corner is at
  // (left, lower) on the sheet. The wood is kept as a picture of its own: a frame adds only what was cut since the last.
  draw(picture: CanvasRenderingContext2D, width: number, height: number, left: number, lower: number, scale: number, to: At): void {
    const right = left + width / scale;
    const upper = lower + height / scale;
    const { seen } = this;
    const kept = seen && seen.scale === scale && !isBefore(to, seen.to) &&
      Math.max(0, left) >= seen.left && Math.max(0, lower) >= seen.lower &&
      Math.min(this.length, right) <= seen.right && Math.min(this.width, upper) <= seen.upper;
    if (!kept) this.begin(left, lower, right, upper, scale);
    const now = this.seen!;
    this.cut(this.now, now.to, to);
    now.to = to;
    picture.drawImage(this.canvas, Math.round((now.left - left) * scale), height - Math.round((now.lower - lower) * scale) - this.canvas.height);
  }

  // The wood before the program, with whatever is in sight and some room around it.
  private begin(left: number, lower: number, right: number, upper: number, scale: number): void {
    const whole = this.length * this.width * scale * scale <= MOST_PIXELS;
    const side = (from: number, to: number, size: number): [number, number] => {
      const more = (to - from) * BESIDE;
      return whole ? [0, size] : [Math.max(0, from - more), Math.min(size, to + more)];
    };
    const [west, east] = side(left, right, this.length);
    const [south, north] = side(lower, upper, this.width);
    const { canvas, context } = this;
    canvas.width = Math.ceil((east - west) * scale);
    canvas.height = Math.ceil((north - south) * scale);
    // Just what those dots show.
    this.seen = { left: west, lower: south, right: west + canvas.width / scale, upper: south + canvas.height / scale, scale, to: START };
    context.setTransform(scale, 0, 0, -scale, -west * scale, south * scale + canvas.height);
    this.paint(scale);
    context.globalCompositeOperation = 'darken';
    context.lineCap = 'round';
    context.lineJoin = 'round';
    for (const program of this.earlier) this.cut(program, START, { index: program.moves.length - 1, share: 1 });
  }

  private paint(scale: number): void {
    const { context } = this;
    context.fillStyle = BOARD.waste;
    context.fillRect(0, 0, this.length, this.width);
    context.textAlign = 'center';
    context.textBaseline = 'middle';
    for (const piece of this.pieces) {
      context.save();
      context.transform(...piece.matrix);
      context.fillStyle = BOARD.part;
      context.fill(piece.path, 'evenodd');
      context.strokeStyle = BOARD.line;
      context.lineWidth = Math.max(1.4, 1 / scale);
      context.stroke(piece.path);
      context.restore();
      context.save();
      context.translate(piece.x, piece.y);
      context.scale(1, -1);
      if (piece.turned) context.rotate(-Math.PI / 2);
      context.font = `700 ${piece.size}px system-ui, sans-serif`;
      context.fillStyle = BOARD.number;
      context.fillText(piece.number, 0, 0);
      context.restore();
    }
  }

  // Which step of DEPTHS a height of the tip is; none above the wood, one past the last where it goes through.
  step(z: number): number {
    const depth = this.top - z;
    if (depth < 1e-6) return -1;
    if (depth > this.thickness - 0.01) return DEPTHS.length;
    return Math.min(DEPTHS.length - 1, Math.floor(depth / this.thickness * DEPTHS.length));
  }

  // Is a move of a cutter so wide out of the picture altogether?
  private isAway(move: Move, wide: number): boolean {
    const { left, lower, right, upper } = this.seen!;
    const round = move.kind === 'arc';
    const reach = wide / 2 + (round ? move.radius : 0);
    const [x0, x1] = round ? [move.cx, move.cx] : [Math.min(move.x0, move.x1), Math.max(move.x0, move.x1)];
    const [y0, y1] = round ? [move.cy, move.cy] : [Math.min(move.y0, move.y1), Math.max(move.y0, move.y1)];
    return x0 - reach > right || x1 + reach < left || y0 - reach > upper || y1 + reach < lower;
  }

  // Cuts from one place in a program to another. Stretches of one depth and width are one stroke, as the darker wins in
  // whatever order they come.
  private cut({ moves, diameter }: Cutting, from: At, to: At): void {
    const strokes = new Map<number, Stroke>();
    for (let i = from.index; i <= to.index && i < moves.length; i++) {
      const move = moves[i];
      if (move.kind !== 'cut' && move.kind !== 'arc') continue;
      const begin = i === from.index ? from.share : 0;
      const end = i === to.index ? to.share : 1;
      if (end <= begin) continue;
      const wide = diameter(move.tool);
      if (this.isAway(move, wide)) continue;
      const pieces = move.z0 === move.z1 ? 1 : Math.min(24, Math.max(1, Math.ceil(Math.abs(move.z1 - move.z0) * (end - begin) / this.thickness * 12)));
      for (let k = 0; k < pieces; k++) {
        const a = begin + (end - begin) * k / pieces;
        const b = begin + (end - begin) * (k + 1) / pieces;
        const step = this.step(Math.min(move.z0 + (move.z1 - move.z0) * a, move.z0 + (move.z1 - move.z0) * b));
        if (step < 0) continue;
        const key = step * 1e6 + wide;
        let stroke = strokes.get(key) ?? { step, wide, path: new Path2D(), x: NaN, y: NaN, count: 0 };
        strokes.set(key, stroke);
        // A path of very many stretches takes longer to fill than the same in several.
        if (stroke.count++ >= MOST_STRETCHES) {
          this.stroke(stroke);
          stroke = { step, wide, path: new Path2D(), x: NaN, y: NaN, count: 1 };
          strokes.set(key, stroke);
        }
        const [x, y] = placeIn(move, a);
        const [u, v] = placeIn(move, b);
        if (stroke.x !== x || stroke.y !== y) stroke.path.moveTo(x, y);
        trace(stroke.path, move, a, b);
        // A drill goes nowhere: a line of no length would not be drawn.
        if (Math.hypot(u - x, v - y) < 1e-6) stroke.path.lineTo(u + 1e-3, v);
        stroke.x = u;
        stroke.y = v;
      }
    }
    for (const stroke of strokes.values()) this.stroke(stroke);
  }

  private stroke({ step, wide, path }: Stroke): void {
    this.context.strokeStyle = step === DEPTHS.length ? GONE : DEPTHS[step];
    this.context.lineWidth = wide;
    this.context.stroke(path);
  }
}

// Adds a stretch of a move to a path.
export function trace(path: Path2D | CanvasRenderingContext2D, move: Move, a: number, b: number): void {
  if (move.kind === 'arc') {
    path.arc(move.cx, move.cy, move.radius, move.from + move.sweep * a, move.from + move.sweep * b, move.sweep < 0);
  } else {
    const [x, y] = placeIn(move, b);
    path.lineTo(x, y);
  }
}
