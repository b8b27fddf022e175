// What the engine tells, as it comes.

import type { BoxSolid } from '../view/solids';

export type Status = 'ok' | 'accepted' | 'caution' | 'refused';
export type Span = [number, number];

export interface Bar {
  from: number;
  to: number;
  open_below: boolean;
  open_above: boolean;
  mark: number;
}

export interface Finding {
  status: Status;
  id: string;
  check: string;
  of: string;
  spot: { start: number; end: number } | null;
  subject: string;
  measured: string | null;
  allowed: string | null;
  bar: Bar | null;
  source: string;
  advice: string;
}

export interface Theme {
  title: string;
  open: boolean;
  findings: Finding[];
}

export interface HoleSeen {
  letter: string;
  use_: string;
  size: string;
  path: string;
  x: string;
  y: string;
  across: number;
  up: number;
  status: Status;
  checked: { status: Status; check: string; measured: string | null; allowed: string | null; advice: string | null }[];
  spot: { start: number; end: number } | null;
}

export interface Recess {
  purpose: string;
  across: number;
  up: number;
  size: [number, number];
  inside: boolean;
  spot: { start: number; end: number };
}

/** A panel as it stands: from outside, its upper edge up; a floor or cover from above, its back edge up. */
export interface Face {
  title: string;
  part: number | null;
  view_box: string;
  height: string;
  letters: string;
  onto: string;
  seen: string;
  datum: [string, string];
  outline: string;
  covers: { name: string; inside: boolean; path: string }[];
  holes: HoleSeen[];
  recesses: Recess[];
  assembly: number;
  panel: string;
  size: [number, number];
}

export interface StockRange {
  box: string;
  least: number | null;
  most: number | null;
  holds: boolean;
  advice: string;
}

export interface Seen {
  title: string;
  units: 'mm' | 'in';
  refused: boolean;
  cautions: number;
  boxes: BoxSolid[];
  faces: Face[];
  themes: Theme[];
  stocks: { name: string; material: string; thickness: number; ranges: StockRange[] }[];
  parts: { name: string; box: string | null; count: number; size: string }[];
}

export interface Problem {
  file: string;
  line: number;
  column: number;
  span: Span;
  message: string;
  expected: string;
  help: string;
  /** What stands there, shortened. */
  offending: string;
  /** The key that is missing there, where that is what is wrong. */
  lacks: { name: string; says: string; instead: string[] } | null;
}

export interface RawFinding {
  id: string;
  check: string;
  subject: string;
  status: Status;
  advice: string;
}

/** An answer about a job: one of these is there. */
export interface Answer {
  seen?: Seen;
  plan?: Plan;
  first?: Laid;
  saw?: string[];
  fewest?: { plan: string; stock: string[]; sheets: number; at_least: number; reason: string }[];
  problems?: Problem[];
  refused?: RawFinding[];
  said?: string;
  fault?: string;
}

export interface Piece {
  part: number;
  matrix: string;
  number: { x: string; y: string; size: string; turned: boolean; named: boolean } | null;
}

/** Parts on sheets. */
export interface Laid {
  parts: { number: number; name: string; of: string | null; count: number; size: [string, string]; shape: string; pockets: string[]; below: string[]; label: string | null }[];
  sheets: { number: number; heading: string; used: string; view_box: string; length: string; width: string; pieces: Piece[] }[];
}

/** A plan: laid out, routed and proved. */
export interface Plan extends Laid {
  pieces: number;
  minutes: string | null;
  programs: { file: string; sheet: number; minutes: string; cut: string; tools: string[] }[];
  saw: { sheets: unknown[]; steps: number } | null;
  cost: { boxes: { name: string; count: number; lines: [string, string][]; cost: string; price: string | null }[]; total: string; not_priced: string[] } | null;
}
