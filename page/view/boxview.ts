// A box in three dimensions on a canvas: turned by dragging or keys, its panels where they belong or on their way.

import { Raster, type Paint } from './raster';
import { facesOf, type BoxSolid, type Flat, type PanelSolid, type Space } from './solids';
import { night } from './wishes';

type Colour = [number, number, number];
type Hue = 'pick' | 'added' | 'blocked';

interface Tone extends Record<Hue, Colour> {
  wood: Colour;
  edge: Colour;
  ink: Colour;
  label: string;
  text: string;
}

const WOOD: { day: Tone; night: Tone } = {
  day: { wood: [236, 212, 168], edge: [214, 182, 130], ink: [52, 44, 34], pick: [232, 120, 52], added: [116, 171, 212], blocked: [204, 62, 46], label: '#fffdf8', text: '#26221c' },
  night: { wood: [206, 178, 134], edge: [178, 148, 104], ink: [24, 20, 14], pick: [255, 146, 78], added: [104, 168, 220], blocked: [226, 92, 74], label: '#1d2223', text: '#f1ece1' },
};
export const TURNS: Record<string, [number, number]> = { left: [0.2, 0], right: [-0.2, 0], up: [0, 0.15], down: [0, -0.15] };
export const ARROWS: Record<string, string> = { ArrowLeft: 'left', ArrowRight: 'right', ArrowUp: 'up', ArrowDown: 'down' };
export const CORNER = { yaw: -0.62, pitch: 0.5 };

/** What differs from view to view. */
export interface Shown {
  /** Which panels are seen, and which stand out. */
  seen?: (panel: PanelSolid) => boolean;
  lit?: (panel: PanelSolid) => boolean;
  hue?: Hue;
  /** How far a panel is from its place. */
  offset?: (panel: PanelSolid) => number[];
  /** Which direction of the box is up. */
  up?: () => Space;
}

export class BoxView {
  canvas: HTMLCanvasElement;
  box!: BoxSolid;
  gap = 0;
  yaw = CORNER.yaw;
  pitch = CORNER.pitch;
  moving = false;
  printing = false;
  /** Without the numbers of the cut list. */
  plain = false;
  private isSeen: (panel: PanelSolid) => boolean;
  isLit: (panel: PanelSolid) => boolean;
  private offset: (panel: PanelSolid) => number[];
  private hue: Hue;
  private pose: () => Space;
  private context: CanvasRenderingContext2D;
  private raster = new Raster();
  private sheet = document.createElement('canvas');
  private pending = false;
  private fine = 1;
  private faces: Flat[] = [];
  private groups = new Uint32Array(0);
  private owners = new Uint16Array(0);
  private least: number[] = [];
  private most: number[] = [];
  private labels: [number, number][] = [];

  // What a step adds is blue, as on paper.
  constructor(canvas: HTMLCanvasElement, { seen = () => true, lit = () => false, hue = 'pick', offset = () => [0, 0, 0], up = () => [0, 0, 1] }: Shown = {}) {
    this.isSeen = seen;
    this.isLit = lit;
    this.offset = offset;
    this.hue = hue;
    this.pose = up;
    this.canvas = canvas;
    this.context = canvas.getContext('2d')!;
  }

  show(box: BoxSolid): void {
    this.box = box;
    const { faces } = facesOf(this.box);
    this.faces = faces;
    this.groups = new Uint32Array(faces.length + 1);
    this.owners = new Uint16Array(faces.length + 1);
    faces.forEach((face, i) => {
      this.groups[i + 1] = face.group;
      this.owners[i + 1] = face.owner;
    });
    const least = [Infinity, Infinity, Infinity];
    const most = [-Infinity, -Infinity, -Infinity];
    for (const face of faces) {
      for (const ring of face.corners) {
        for (let i = 0; i < ring.length; i++) {
          least[i % 3] = Math.min(least[i % 3], ring[i]);
          most[i % 3] = Math.max(most[i % 3], ring[i]);
        }
      }
    }
    this.least = least;
    this.most = most;
    const size = least.map((at, k) => most[k] - at);
    this.gap = 0.3 * (size[0] + size[1] + size[2]) / 3;
    this.soon();
  }

  look(yaw: number, pitch: number): void {
    this.yaw = yaw;
    this.pitch = pitch;
    this.soon();
  }

  // Draws before the next frame, once however often it is asked.
  soon(): void {
    if (this.pending) return;
    this.pending = true;
    requestAnimationFrame(() => {
      this.pending = false;
      this.draw();
    });
  }

  // Half the width and height of what has to be seen, and its middle, whatever way the box is turned.
  private extent(): { middle: number[]; across: number; up: number } {
    const least = [...this.least];
    const most = [...this.most];
    for (const panel of this.box.panels.filter(this.isSeen)) {
      this.offset(panel).forEach((by, k) => {
        if (by < 0) least[k] = Math.min(least[k], this.least[k] + by);
        else most[k] = Math.max(most[k], this.most[k] + by);
      });
    }
    const middle = least.map((at, k) => (at + most[k]) / 2);
    const [first, second, third] = onBench(this.pose()).map(axis => Math.abs(axis.reduce((sum, x, k) => sum + x * (most[k] - least[k]), 0)));
    const flat = Math.hypot(first, second) / 2;
    const high = third / 2;
    return { middle, across: flat, up: flat * Math.abs(Math.sin(this.pitch)) + high * Math.cos(this.pitch) };
  }

  draw(): void {
    if (!this.box) return;
    const bounds = this.canvas.getBoundingClientRect();
    const dots = Math.min(2, devicePixelRatio || 1);
    const [width, height] = [Math.round(bounds.width * dots), Math.round(bounds.height * dots)];
    if (width < 2 || height < 2) return;
    if (this.canvas.width !== width || this.canvas.height !== height) {
      this.canvas.width = width;
      this.canvas.height = height;
    }
    // Coarse while it moves, fine when it stands.
    this.fine = this.moving ? 1 / dots : dots > 1 ? 1 : 2;
    const began = performance.now();
    this.render(Math.round(width * this.fine), Math.round(height * this.fine));
    this.sheet.width = this.raster.width;
    this.sheet.height = this.raster.height;
    this.sheet.getContext('2d')!.putImageData(this.raster.image, 0, 0);
    this.context.clearRect(0, 0, width, height);
    this.context.imageSmoothingQuality = 'high';
    this.context.drawImage(this.sheet, 0, 0, width, height);
    if (!this.plain) this.numbers(dots);
    this.canvas.dataset.took = (performance.now() - began).toFixed(1);
  }

  private render(width: number, height: number): void {
    const { raster } = this;
    raster.size(width, height);
    raster.clear();
    const tone = night.matches && !this.printing ? WOOD.night : WOOD.day;
    const [sy, cy, sp, cp] = [Math.sin(this.yaw), Math.cos(this.yaw), Math.sin(this.pitch), Math.cos(this.pitch)];
    const axes = onBench(this.pose());
    const lying = ([x, y, z]: number[]) => [0, 1, 2].map(k => x * axes[0][k] + y * axes[1][k] + z * axes[2][k]);
    const right = lying([cy, sy, 0]);
    const toward = lying([sy * cp, -cy * cp, sp]);
    const up = lying([-sy * sp, cy * sp, cp]);
    const { middle, across, up: tall } = this.extent();
    const scale = 0.94 * Math.min(width / 2 / across, height / 2 / tall);
    const light = [0, 1, 2].map(k => 0.45 * toward[k] - 0.35 * right[k] + 0.82 * up[k]);
    const moves = this.box.panels.map(panel => this.offset(panel).map((by, k) => by - middle[k]));
    const dot = (a: number[], b: number[]) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

    const unseen = this.box.panels.map(panel => !this.isSeen(panel));
    this.faces.forEach((face, index) => {
      if (unseen[face.owner]) return;
      const facing = dot(face.normal, toward);
      if (facing < 1e-3) return;
      const move = moves[face.owner];
      const rings = face.corners.map(ring => {
        const flat = new Float64Array(ring.length / 3 * 2);
        for (let i = 0, j = 0; i < ring.length; i += 3, j += 2) {
          const x = ring[i] + move[0], y = ring[i + 1] + move[1], z = ring[i + 2] + move[2];
          flat[j] = width / 2 + scale * (x * right[0] + y * right[1] + z * right[2]);
          flat[j + 1] = height / 2 - scale * (x * up[0] + y * up[1] + z * up[2]);
        }
        return flat;
      });
      // A plane's quantity, linear in space, as a linear function of the pixel.
      const linear = (axis: number[], at: number) => {
        const slope = dot(axis, toward) / facing;
        const a = (dot(axis, right) - slope * dot(face.normal, right)) / scale;
        const b = -(dot(axis, up) - slope * dot(face.normal, up)) / scale;
        const from = [0, 1, 2].map(k => face.corners[0][k] + move[k]);
        const x = width / 2 + scale * dot(from, right), y = height / 2 - scale * dot(from, up);
        return [a, b, at - a * x - b * y];
      };
      const start = [0, 1, 2].map(k => face.corners[0][k] + move[k]);
      const bright = 0.6 + 0.4 * Math.max(0, dot(face.normal, light));
      const panel = this.box.panels[face.owner];
      const picked = this.isLit(panel);
      const base = picked ? tone[this.hue] : tone.wood;
      const paint: Paint = { plain: packed(base, picked ? 0.5 + bright / 2 : bright), band: 0, plies: null };
      if (face.wall) {
        const ply = 2.4;
        paint.band = packed(picked ? tone[this.hue] : tone.edge, picked ? bright * 0.8 : bright);
        if (scale * ply > 1.4) {
          paint.plies = linear(face.wall.n.map(x => -x), face.wall.top).map(x => x / ply);
        }
      }
      raster.fill(rings, linear(toward, dot(start, toward)), index + 1, paint);
    });
    if (this.box.panels.some(this.isLit)) this.hatch(tone);
    raster.ink(this.groups, packed(tone.ink, 1), this.fine > 1 || (this.fine === 1 && devicePixelRatio > 1));
  }

  // The chosen part is striped as well as coloured.
  private hatch(tone: Tone): void {
    const { width, height, face, pixels } = this.raster;
    const chosen = new Uint8Array(this.faces.length + 1);
    this.faces.forEach((one, i) => {
      if (this.isLit(this.box.panels[one.owner])) chosen[i + 1] = 1;
    });
    const stripe = packed(tone[this.hue], 0.62);
    const dots = Math.max(1, Math.round(width / this.canvas.clientWidth));
    const period = 9 * dots;
    for (let y = 0, i = 0; y < height; y++) {
      for (let x = 0; x < width; x++, i++) {
        if (chosen[face[i]] && (x + y) % period < 2 * dots) pixels[i] = stripe;
      }
    }
  }

  // The numbers of the cut list, each where most of its panel is seen.
  private numbers(dots: number): void {
    const { raster, context } = this;
    const shrink = raster.width / this.canvas.width;
    const sums = raster.middles(this.owners, this.box.panels.length);
    const radius = 11 * dots;
    const tone = night.matches && !this.printing ? WOOD.night : WOOD.day;
    context.font = `700 ${12.5 * dots}px system-ui, sans-serif`;
    context.textAlign = 'center';
    context.textBaseline = 'middle';
    this.labels = [];
    this.box.panels.forEach((panel, i) => {
      const count = sums[3 * i];
      if (panel.part === null || count / shrink / shrink < 30 * radius * dots) return;
      const at = this.seen(i, sums[3 * i + 1] / count, sums[3 * i + 2] / count);
      if (!at) return;
      const x = at[0] / shrink, y = at[1] / shrink;
      if (this.labels.some(other => Math.hypot(other[0] - x, other[1] - y) < 2.1 * radius)) return;
      this.labels.push([x, y]);
      context.beginPath();
      context.arc(x, y, radius, 0, 2 * Math.PI);
      context.fillStyle = tone.label;
      context.fill();
      context.lineWidth = 1.5 * dots;
      context.strokeStyle = tone.text;
      context.stroke();
      context.fillStyle = tone.text;
      context.fillText(String(panel.part + 1), x, y + 0.5 * dots);
    });
  }

  // The pixel of a panel that is nearest to a point.
  private seen(owner: number, x: number, y: number): [number, number] | null {
    const { width, height, face } = this.raster;
    let best: [number, number] | null = null;
    let least = Infinity;
    const is = (px: number, py: number) => face[py * width + px] !== 0 && this.owners[face[py * width + px]] === owner;
    const [cx, cy] = [Math.round(x), Math.round(y)];
    if (is(cx, cy)) return [cx, cy];
    for (let py = 0; py < height; py += 3) {
      for (let px = 0; px < width; px += 3) {
        const far = (px - x) ** 2 + (py - y) ** 2;
        if (far < least && is(px, py)) {
          least = far;
          best = [px, py];
        }
      }
    }
    return best;
  }

  // Which panel is seen at a point of the window.
  panelAt(clientX: number, clientY: number): PanelSolid | null {
    const bounds = this.canvas.getBoundingClientRect();
    const x = Math.floor((clientX - bounds.left) / bounds.width * this.raster.width);
    const y = Math.floor((clientY - bounds.top) / bounds.height * this.raster.height);
    if (x < 0 || y < 0 || x >= this.raster.width || y >= this.raster.height) return null;
    const number = this.raster.face[y * this.raster.width + x];
    return number === 0 ? null : this.box.panels[this.owners[number]];
  }

  turn(yaw: number, pitch: number): void {
    this.yaw += yaw;
    this.pitch = Math.max(-1.5, Math.min(1.5, this.pitch + pitch));
    this.soon();
  }
}

// The box's axes as it lies with one of them up: the directions, in the box, that run along, across and up from the bench.
function onBench(up: Space): number[][] {
  const along = Math.abs(up[0]) > 0.5 ? [0, 0, -up[0]] : [1, 0, 0];
  const across = [0, 1, 2].map(k => up[(k + 1) % 3] * along[(k + 2) % 3] - up[(k + 2) % 3] * along[(k + 1) % 3]);
  return [along, across, up];
}

function packed(colour: Colour, bright: number): number {
  const [r, g, b] = colour.map(part => Math.min(255, Math.round(part * bright))) as Colour;
  return (0xff000000 | (b << 16) | (g << 8) | r) >>> 0;
}

// Lets a view be turned by dragging and by the arrow keys; a tap is told the panel under it, if any.
export function attach(view: BoxView, tap: (panel: PanelSolid) => void): void {
  const { canvas } = view;
  let hold: { x: number; y: number; far: number } | null = null;
  canvas.addEventListener('pointerdown', event => {
    hold = { x: event.clientX, y: event.clientY, far: 0 };
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener('pointermove', event => {
    if (!hold) return;
    const [dx, dy] = [event.clientX - hold.x, event.clientY - hold.y];
    hold.far += Math.abs(dx) + Math.abs(dy);
    hold.x = event.clientX;
    hold.y = event.clientY;
    if (hold.far < 6) return;
    view.moving = true;
    view.turn(-dx * 0.008, dy * 0.008);
  });
  const release = (event: PointerEvent) => {
    if (hold && hold.far < 6 && event.type === 'pointerup') {
      const panel = view.panelAt(event.clientX, event.clientY);
      if (panel) tap(panel);
    }
    hold = null;
    view.moving = false;
    view.soon();
  };
  canvas.addEventListener('pointerup', release);
  canvas.addEventListener('pointercancel', release);
  canvas.addEventListener('keydown', event => {
    if (!ARROWS[event.key]) return;
    view.turn(...TURNS[ARROWS[event.key]]);
    event.preventDefault();
  });
  night.addEventListener('change', () => view.soon());
  new ResizeObserver(() => view.soon()).observe(canvas);
  addEventListener('beforeprint', () => { view.printing = true; view.draw(); });
  addEventListener('afterprint', () => { view.printing = false; view.soon(); });
}
