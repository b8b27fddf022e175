// What the machine is doing, in words.

import { $ } from './data';
import type { Move } from './moves';
import type { Wood } from './wood';

/** Says a length. */
export type Said = (mm: number) => string;

export function set(id: string, text: string): void {
  const element = $(id);
  if (element.textContent !== text) element.textContent = text;
}

export const round = (value: number): string => String(Math.round(value * 100) / 100);

const INCH = 25.4;

// A length as the program says lengths; no line breaks before its unit.
export const lengthText = (mm: number, unit: number): string => (unit === INCH ? `${Math.round(mm / INCH * 1000) / 1000}\u00a0in` : `${round(mm)}\u00a0mm`);

export function depthText(wood: Wood, z: number, length: Said): string {
  const depth = wood.top - z;
  if (depth > wood.thickness + 0.005) return `through by ${length(depth - wood.thickness)}`;
  if (depth > 0.0005) return `${length(depth).split('\u00a0')[0]} of ${length(wood.thickness)}`;
  return `${length(-depth)} above`;
}

// What a move does, in words.
export function doing(move: Move, wood: Wood, length: Said): string {
  if (move.kind === 'wait') return `waits ${round(move.seconds)}\u00a0s`;
  if (move.kind === 'stop') return 'stops until you start it again';
  if (move.kind === 'change') return 'changes the tool';
  const flat = Math.hypot(move.x1 - move.x0, move.y1 - move.y0);
  if (move.kind === 'rapid') return flat > 1e-6 ? 'moves over to another place' : move.z1 > move.z0 ? 'lifts out' : 'comes down';
  const air = wood.step(Math.min(move.z0, move.z1)) < 0;
  const pace = move.feed !== null && move.feed > 0 ? `, ${length(move.feed)}/min` : '';
  if (air) return `feeds above the wood${pace}`;
  if (move.kind === 'arc') {
    const how = move.z1 < move.z0 - 1e-6 ? 'winds down round an arc' : 'cuts round an arc';
    return `${how} of ${length(move.radius)}${pace}`;
  }
  if (flat < 1e-6) return `${move.z1 < move.z0 ? 'goes straight down' : 'comes up with feed'}${pace}`;
  if (move.z1 < move.z0 - 1e-6) return `ramps down${pace}`;
  return move.z1 > move.z0 + 1e-6 ? `climbs${pace}` : `cuts straight${pace}`;
}
