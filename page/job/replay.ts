// A program played back: the cutter moves, the wood goes, the line that does it is shown.

import { calm, night } from '../view/wishes';
import { piecesOf } from './bench';
import { $, job, scene, type ProgramRecord, type Source, type Tool } from './data';
import { Clock, clockText, placeIn, type At } from './clock';
import { RAPID, TOOLS, showLegend, type Style } from './legend';
import { Listing } from './listing';
import { unpackMoves, type Move } from './moves';
import { nearestShare } from './proof';
import { START, Wood, trace, type Cutting } from './wood';
import { depthText, doing, lengthText, set } from './words';

export const ZOOMS = [1, 1.5, 2, 3, 5, 8, 12, 20];
// A replay takes about this long at the speed it starts with (seconds).
const SHOWN_IN = 60;
// Time, line and tool are told anew so often while it plays (milliseconds).
const TOLD_EVERY = 100;

export class Replay {
  canvas = $<HTMLCanvasElement>('replay-view');
  zoom = 0;
  /** The middle of what is in sight (mm on the sheet). */
  middle: [number, number] = [0, 0];
  playing = false;
  speed = 1;
  clock!: Clock;
  wood!: Wood;
  /** Comments that name what the moves after them do. */
  marks: { line: number; text: string; first: number }[] = [];
  private context = this.canvas.getContext('2d', { alpha: false })!;
  private paths = document.createElement('canvas');
  private pathsFor = '';
  private listing: Listing;
  private told = 0;
  private last: number | null = null;
  private time = 0;
  private done: At = START;
  private at: At = START;
  private spot: [number, number, number] | null = null;
  private source!: Source;
  private record!: ProgramRecord;
  private read!: { lines: string[]; moves: Move[] };
  private toolOf!: (number: number | null) => Tool;
  private diameter!: (number: number | null) => number;
  private length!: (mm: number) => string;

  constructor() {
    this.listing = new Listing($('replay-listing'), line => this.toLine(line));
    this.load(0);
  }

  load(index: number): void {
    this.stop();
    this.source = scene.programs[index];
    const { sheet, top, thickness } = this.source;
    const record = job.programs[index];
    this.record = record;
    const lines = this.source.text.split('\n');
    if (lines[lines.length - 1] === '') lines.pop();
    this.read = { lines, moves: unpackMoves(this.source.packed, this.source.rapid) };
    const only = record.tools.length === 1 ? record.tools[0] : null;
    this.toolOf = number => record.tools.find(tool => tool.number === number) || only || record.tools[0];
    this.diameter = number => this.toolOf(number).diameter;
    this.clock = new Clock(this.read.moves);
    this.length = mm => lengthText(mm, this.source.unit);
    const board = { length: job.sheets[sheet].length, width: job.sheets[sheet].width, thickness };
    this.wood = new Wood(board, piecesOf(sheet, this.source.mirror), top, this.before(index), { moves: this.read.moves, diameter: this.diameter });
    this.time = 0;
    this.unring();
    this.done = START;
    this.zoom = 0;
    this.middle = [board.length / 2, board.width / 2];
    // A sheet fills the picture's width; on a narrow screen there is room above and below for looking closer.
    this.canvas.style.setProperty('--sheet', String((board.length + 40) / (board.width + 40)));
    this.listing.load(this.read.lines);
    this.goTo();
    showLegend(record, this.wood, this.style.bind(this), this.length);
    this.pace();
    this.pathsFor = '';
    this.show();
  }

  // The programs that have cut the same face of the sheet before this one.
  private before(index: number): Cutting[] {
    const earlier = scene.programs.slice(0, index).map((program, i): [Source, ProgramRecord] => [program, job.programs[i]]);
    return earlier.filter(([one]) => one.sheet === this.source.sheet && one.face === this.source.face).map(([program, { tools }]) => ({
      moves: unpackMoves(program.packed, program.rapid),
      diameter: (number: number | null) => (tools.find(tool => tool.number === number) || tools[0]).diameter,
    }));
  }

  private pace(): void {
    const list = $<HTMLSelectElement>('replay-speed');
    const speeds = [...list.options].map(option => Number(option.value));
    this.speed = speeds.find(speed => this.clock.total / speed <= SHOWN_IN) || speeds[speeds.length - 1];
    list.value = String(this.speed);
  }

  private goTo(): void {
    const list = $('replay-goto');
    // Comments that stand before moves name what those moves do; of several, the one that names a tool, or the last.
    const named = new Map<number, { line: number; text: string; first: number }>();
    for (const [line, text, first] of this.source.heads) {
      const known = named.get(first);
      if (!known || !/^tool \d+:/.test(known.text)) named.set(first, { line, text, first });
    }
    const heads = [...named.values()].filter(head => head.first < this.read.moves.length);
    this.marks = heads;
    list.replaceChildren(...heads.map((head, i) => new Option(`${i + 1}  ${head.text}`, String(i))));
  }

  toTime(time: number): void {
    this.time = Math.max(0, Math.min(this.clock.total, time));
    this.show();
  }

  toLine(line: number): void {
    this.stop();
    const move = this.read.moves[this.clock.firstOf(line)];
    if (!move) return;
    // The end of the line's last move: what the line has done.
    let last = this.clock.firstOf(move.line);
    while (last + 1 < this.read.moves.length && this.read.moves[last + 1].line === move.line) last++;
    this.at = { index: last, share: 1 };
    this.time = this.clock.ends[last];
    this.show(this.at);
    this.say();
  }

  // To where a line passes nearest to a place (mm on the sheet), which is then ringed; without a place, to the line's end.
  toPlace(line: number, spot: [number, number, number] | null): void {
    this.toLine(line);
    const height = this.wood.top;
    let best: [number, number] = [Infinity, 1];
    let index = -1;
    if (spot) {
      const at: [number, number, number] = [spot[0], spot[1], spot[2] + height];
      for (let i = this.clock.firstOf(line); i >= 0 && i < this.read.moves.length && this.read.moves[i].line === line; i++) {
        if (this.read.moves[i].x0 === null) continue;
        const near = nearestShare(this.read.moves[i], at);
        if (near[0] < best[0]) [best, index] = [near, i];
      }
    }
    this.spot = spot;
    if (this.zoom === 0) this.zoom = 3;
    if (spot) this.middle = [spot[0], spot[1]];
    if (index >= 0) {
      this.time = this.clock.startOf(index) + this.read.moves[index].seconds * best[1];
      this.show({ index, share: best[1] });
      this.say();
    } else this.draw();
  }

  private unring(): void {
    this.spot = null;
    $('replay-ringed').hidden = true;
  }

  by(step: number): void {
    const { moves } = this.read;
    const here = moves[this.done.index];
    if (!here) return;
    if (step > 0) {
      const next = this.done.share < 1 ? here : moves.slice(this.done.index).find(move => move.line > here.line);
      if (next) this.toLine(next.line);
      return;
    }
    for (let i = this.done.index; i >= 0; i--) if (moves[i].line < here.line) return this.toLine(moves[i].line);
    this.stop();
    this.toTime(0);
  }

  play(): void {
    if (this.playing) return;
    if (this.time >= this.clock.total - 1e-9) this.time = 0;
    this.playing = true;
    this.unring();
    this.last = null;
    $('replay-play').textContent = 'Pause';
    this.canvas.dataset.playing = 'true';
    if (calm.matches) this.hop();
    else requestAnimationFrame(now => this.frame(now));
  }

  stop(): void {
    if (this.playing) {
      this.tell();
      this.say();
    }
    this.playing = false;
    $('replay-play').textContent = 'Play';
    this.canvas.dataset.playing = 'false';
  }

  private frame(now: number): void {
    if (!this.playing) return;
    if (this.last !== null) {
      // A page that was out of sight goes on from where it was.
      const passed = Math.min(0.25, (now - this.last) / 1000);
      this.time = Math.min(this.clock.total, this.time + passed * this.speed);
    }
    this.last = now;
    this.show();
    if (this.time >= this.clock.total) return this.stop();
    requestAnimationFrame(next => this.frame(next));
  }

  // For eyes that should not follow motion: from one operation to the next, a picture at a time.
  private hop(): void {
    if (!this.playing) return;
    const next = this.marks.map(mark => this.clock.startOf(mark.first)).find(start => start > this.time + 1e-6);
    this.toTime(next === undefined ? this.clock.total : next);
    if (this.time >= this.clock.total) return this.stop();
    setTimeout(() => this.hop(), 900);
  }

  private show(at?: At): void {
    this.done = at || this.clock.at(this.time);
    this.draw();
    // While it moves, words change no faster than anyone reads.
    const now = performance.now();
    if (this.playing && now - this.told < TOLD_EVERY) return;
    this.told = now;
    this.tell();
  }

  // The part of the sheet in sight, in mm, on a picture of this many dots: left, lower, and dots to the mm.
  window(width: number, height: number): [number, number, number] {
    const { length, width: wide } = this.wood;
    const scale = Math.min(width / (length + 40), height / (wide + 40)) * ZOOMS[this.zoom];
    // No more of what lies beside the sheet than its margin, unless the sheet is smaller than the picture.
    const kept = (at: number, size: number, seen: number) => (seen >= size + 40 ? size / 2 : Math.max(seen / 2 - 20, Math.min(size + 20 - seen / 2, at)));
    const middle = [kept(this.middle[0], length, width / scale), kept(this.middle[1], wide, height / scale)];
    return [middle[0] - width / 2 / scale, middle[1] - height / 2 / scale, scale];
  }

  draw(): void {
    const { canvas, context, wood } = this;
    const dots = Math.min(2, devicePixelRatio || 1);
    const [width, height] = [Math.round(canvas.clientWidth * dots), Math.round(canvas.clientHeight * dots)];
    if (width < 2 || height < 2) return;
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width;
      canvas.height = height;
    }
    const move = this.read.moves[this.done.index];
    const place = move && move.x1 !== null ? placeIn(move, this.done.share) : null;
    if (place && this.zoom > 0 && $<HTMLInputElement>('replay-follow').checked) this.middle = [place[0], place[1]];
    const [left, lower, scale] = this.window(width, height);
    const h = height / scale;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.fillStyle = night.matches ? '#22292c' : '#c9c6bd';
    context.fillRect(0, 0, width, height);
    wood.draw(context, width, height, left, lower, scale, this.done);
    if ($<HTMLInputElement>('replay-paths').checked) this.drawPaths(width, height, left, lower, scale);
    context.setTransform(scale, 0, 0, -scale, -left * scale, (lower + h) * scale);
    this.screws(context, scale, dots);
    this.coming(context, scale, dots);
    if (place) this.cutter(context, move, place, scale, dots);
    if (this.spot) this.ring(context, scale, dots);
    context.setTransform(1, 0, 0, 1, 0, 0);
  }

  private screws(context: CanvasRenderingContext2D, scale: number, dots: number): void {
    for (const { x, y, head } of job.sheets[this.source.sheet].screws || []) {
      const reach = head / 2;
      context.beginPath();
      context.arc(x, y, reach, 0, 2 * Math.PI);
      context.fillStyle = '#dfe3e6';
      context.fill();
      context.moveTo(x - reach, y);
      context.lineTo(x + reach, y);
      context.moveTo(x, y - reach);
      context.lineTo(x, y + reach);
      context.lineWidth = 1.2 * dots / scale;
      context.strokeStyle = '#3c444a';
      context.stroke();
    }
  }

  // Around the place of a measure.
  private ring(context: CanvasRenderingContext2D, scale: number, dots: number): void {
    const spot = this.spot!;
    for (const [wide, colour] of [[7, '#fff'], [3.5, '#97192f']] as [number, string][]) {
      context.beginPath();
      context.arc(spot[0], spot[1], 20 * dots / scale, 0, 2 * Math.PI);
      context.lineWidth = wide * dots / scale;
      context.strokeStyle = colour;
      context.stroke();
    }
  }

  private style(tool: Tool): Style {
    return TOOLS[Math.max(0, this.record.tools.indexOf(tool)) % TOOLS.length];
  }

  private styleOf(move: Move): Style {
    return move.kind === 'rapid' ? RAPID : this.style(this.toolOf(move.tool));
  }

  // The way ahead, until the tool next leaves the wood for another place.
  private coming(context: CanvasRenderingContext2D, scale: number, dots: number): void {
    const { moves } = this.read;
    let cutting = false;
    let from = this.done.share;
    for (let i = this.done.index, count = 0; i < moves.length && count < 80; i++, count++) {
      const move = moves[i];
      if (move.x0 !== null && (move.x0 !== move.x1 || move.y0 !== move.y1 || move.kind === 'arc')) {
        if (move.kind === 'rapid' && cutting) break;
        this.line(context, move, from, this.styleOf(move), scale, dots, 1.6);
      }
      if (move.kind === 'cut' || move.kind === 'arc') cutting = true;
      from = 0;
    }
  }

  private line(context: CanvasRenderingContext2D, move: Move, from: number, style: Style, scale: number, dots: number, wide: number): void {
    context.beginPath();
    const [x, y] = placeIn(move, from);
    context.moveTo(x, y);
    trace(context, move, from, 1);
    context.strokeStyle = style.colour;
    context.lineWidth = wide * dots / scale;
    context.setLineDash(style.dash.map(x => x * dots / scale));
    context.stroke();
    context.setLineDash([]);
  }

  // Every path of the program, drawn once for a view and kept while the view stays.
  private drawPaths(width: number, height: number, left: number, lower: number, scale: number): void {
    const key = [width, height, left.toFixed(2), lower.toFixed(2), scale.toFixed(4)].join();
    if (this.pathsFor !== key) {
      this.pathsFor = key;
      this.paths.width = width;
      this.paths.height = height;
      const context = this.paths.getContext('2d')!;
      context.setTransform(scale, 0, 0, -scale, -left * scale, lower * scale + height);
      const [right, upper] = [left + width / scale, lower + height / scale];
      const batches = new Map<Style, Path2D>();
      for (const move of this.read.moves) {
        if (move.x0 === null || (move.x0 === move.x1 && move.y0 === move.y1 && move.kind !== 'arc')) continue;
        const reach = move.kind === 'arc' ? 2 * move.radius : 0;
        if (Math.max(move.x0, move.x1) + reach < left || Math.min(move.x0, move.x1) - reach > right) continue;
        if (Math.max(move.y0, move.y1) + reach < lower || Math.min(move.y0, move.y1) - reach > upper) continue;
        const style = this.styleOf(move);
        const path = batches.get(style) ?? new Path2D();
        batches.set(style, path);
        path.moveTo(move.x0, move.y0);
        trace(path, move, 0, 1);
      }
      for (const [style, path] of batches) {
        context.strokeStyle = style.colour;
        context.lineWidth = 1 / scale;
        context.setLineDash(style.dash.map(x => x / scale));
        context.stroke(path);
      }
    }
    this.context.drawImage(this.paths, 0, 0);
  }

  private cutter(context: CanvasRenderingContext2D, move: Move, [x, y, z]: [number, number, number], scale: number, dots: number): void {
    const tool = this.toolOf(move.tool);
    const style = this.style(tool);
    const radius = Math.max(tool.diameter / 2, 4.5 * dots / scale);
    const inWood = this.wood.step(z) >= 0;
    context.beginPath();
    context.arc(x, y, radius, 0, 2 * Math.PI);
    context.fillStyle = inWood ? style.colour : 'rgba(255, 255, 255, .75)';
    context.fill();
    context.lineWidth = 2.5 * dots / scale;
    context.strokeStyle = inWood ? '#fff' : style.colour;
    context.stroke();
    // A cross of hairs finds a small cutter on a large sheet.
    context.beginPath();
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
      context.moveTo(x + dx * (radius + 3 * dots / scale), y + dy * (radius + 3 * dots / scale));
      context.lineTo(x + dx * (radius + 13 * dots / scale), y + dy * (radius + 13 * dots / scale));
    }
    context.strokeStyle = style.colour;
    context.stroke();
  }

  private tell(): void {
    const move = this.read.moves[this.done.index];
    const slider = $<HTMLInputElement>('replay-time');
    slider.value = String(this.clock.total > 0 ? Math.round(this.time / this.clock.total * 1000) : 0);
    if (!move) return;
    const { lines } = this.read;
    set('now-time', `${clockText(this.time)} of ${clockText(this.clock.total)}`);
    set('now-line', `${move.line + 1} of ${lines.length}`);
    const tool = this.toolOf(move.tool);
    set('now-tool', `T${tool.number}, ${this.length(tool.diameter)}`);
    const z = move.z1 === null ? null : placeIn(move, this.done.share)[2];
    set('now-depth', z === null ? 'above the sheet' : depthText(this.wood, z, this.length));
    set('now-doing', doing(move, this.wood, this.length));
    this.listing.mark(move.line);
    this.canvas.dataset.line = String(move.line + 1);
    slider.setAttribute('aria-valuetext', `${clockText(this.time)}, line ${move.line + 1}`);
    let current = 0;
    this.marks.forEach((mark, i) => {
      if (mark.first <= this.done.index) current = i;
    });
    const list = $<HTMLSelectElement>('replay-goto');
    if (list.value !== String(current)) list.value = String(current);
  }

  // Said aloud when it stands, not while it moves.
  say(): void {
    const move = this.read.moves[this.done.index];
    if (move) $('replay-say').textContent = `Line ${move.line + 1}: ${$('now-doing').textContent}, ${$('now-depth').textContent}`;
  }
}
