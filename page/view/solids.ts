// Panels as the flat faces that bound them, in space.

/** A point or a direction in space. */
export type Space = [number, number, number];

/** A stretch of a panel's thickness with one cross-section; depths are below the outer face (mm). */
export interface Layer {
  top: number;
  bottom: number;
  rings: number[][];
  upper: number[][];
  lower: number[][];
}

export interface PanelSolid {
  name: string;
  part: number | null;
  origin: Space;
  u: Space;
  v: Space;
  layers: Layer[];
  way: Space;
  rank: number;
}

export interface StepMove {
  number: number;
  sub_assembly: string;
  adds: number[];
  onto: number[];
  way: Space | null;
  up: Space;
  places: boolean;
}

export interface BoxSolid {
  name: string;
  panels: PanelSolid[];
  steps: StepMove[];
}

/** A flat face in space, and the group that no line parts it from. */
export interface Flat {
  owner: number;
  normal: number[];
  corners: number[][];
  group: number;
  wall: { n: number[]; top: number; at: number[] } | null;
}

// Walls that turn less than this from one to the next are one round wall, and get no line between them.
const SMOOTH = Math.cos(Math.PI / 6);

export function facesOf(box: BoxSolid): { faces: Flat[]; groups: number } {
  const faces: Flat[] = [];
  let group = 0;
  box.panels.forEach((panel, owner) => {
    const { origin: o, u, v } = panel;
    const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    const place = (a: number, b: number, w: number) => [0, 1, 2].map(k => o[k] + a * u[k] + b * v[k] - w * n[k]);
    const flat = new Map<string, number>();
    const groupOf = (normal: number[], at: number[]) => {
      const off = normal[0] * at[0] + normal[1] * at[1] + normal[2] * at[2];
      const key = [...normal, off / 10].map(value => Math.round(value * 100)).join();
      const known = flat.get(key) ?? ++group;
      flat.set(key, known);
      return known;
    };
    const side = (rings: number[][], depth: number, normal: number[]) => {
      if (rings.length === 0) return;
      const corners = rings.map(ring => spread(ring, (a, b) => place(a, b, depth)));
      faces.push({ owner, normal, corners, group: groupOf(normal, corners[0].slice(0, 3)), wall: null });
    };
    for (const layer of panel.layers) {
      side(layer.upper, layer.top, n);
      side(layer.lower, layer.bottom, n.map(x => -x));
      for (const ring of layer.rings) walls(ring, layer, { owner, u, v, n, place, groupOf, fresh: () => ++group }, faces);
    }
  });
  return { faces, groups: group + 1 };
}

interface OfPanel {
  owner: number;
  u: number[];
  v: number[];
  n: number[];
  place: (a: number, b: number, w: number) => number[];
  groupOf: (normal: number[], at: number[]) => number;
  fresh: () => number;
}

// The walls along a ring, outwards to the right of its way.
function walls(ring: number[], layer: Layer, panel: OfPanel, faces: Flat[]): void {
  const count = ring.length / 2;
  const made: Flat[] = [];
  for (let i = 0; i < count; i++) {
    const a: [number, number] = [ring[2 * i], ring[2 * i + 1]];
    const j = (i + 1) % count;
    const b: [number, number] = [ring[2 * j], ring[2 * j + 1]];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (length < 1e-3) continue;
    const right = [(b[1] - a[1]) / length, -(b[0] - a[0]) / length];
    const normal = [0, 1, 2].map(k => right[0] * panel.u[k] + right[1] * panel.v[k]);
    const corners = [
      ...panel.place(...a, layer.top), ...panel.place(...b, layer.top),
      ...panel.place(...b, layer.bottom), ...panel.place(...a, layer.bottom),
    ];
    made.push({ owner: panel.owner, normal, corners: [corners], group: 0, wall: { n: panel.n, top: layer.top, at: corners.slice(0, 3) } });
  }
  const smooth = (a: Flat, b: Flat) => a.normal[0] * b.normal[0] + a.normal[1] * b.normal[1] + a.normal[2] * b.normal[2] > SMOOTH;
  made.forEach((face, i) => {
    const before = made[(i + made.length - 1) % made.length];
    const after = made[(i + 1) % made.length];
    const round = made.length > 4 && (smooth(face, before) || smooth(face, after));
    if (!round) face.group = panel.groupOf(face.normal, face.corners[0].slice(0, 3));
    else face.group = i > 0 && smooth(face, before) ? before.group : panel.fresh();
  });
  // The last of a full circle runs on into the first.
  if (made.length > 4 && smooth(made[0], made[made.length - 1])) {
    const last = made[made.length - 1].group;
    for (const face of made) if (face.group === last) face.group = made[0].group;
  }
  faces.push(...made);
}

function spread(ring: number[], place: (a: number, b: number) => number[]): number[] {
  const corners: number[] = [];
  for (let i = 0; i < ring.length; i += 2) corners.push(...place(ring[i], ring[i + 1]));
  return corners;
}
