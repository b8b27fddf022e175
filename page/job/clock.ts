// When each move of a program is made, and where the tool is at any time.

import type { Move } from './moves';

/** A place in a program: a move, and the share of it that is done. */
export interface At {
  index: number;
  share: number;
}

export class Clock {
  ends: Float64Array;
  total: number;

  constructor(private moves: Move[]) {
    this.ends = new Float64Array(moves.length);
    let time = 0;
    moves.forEach((move, i) => {
      time += move.seconds;
      this.ends[i] = time;
    });
    this.total = time;
  }

  // The move being made at a time, and the share of it that is done.
  at(time: number): At {
    let low = 0;
    let high = this.moves.length - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.ends[middle] > time) high = middle;
      else low = middle + 1;
    }
    if (high < 0) return { index: 0, share: 0 };
    const { seconds } = this.moves[low];
    const share = seconds > 0 ? Math.min(1, Math.max(0, 1 - (this.ends[low] - time) / seconds)) : 1;
    return { index: low, share };
  }

  startOf(index: number): number {
    return index > 0 ? this.ends[index - 1] : 0;
  }

  // The first move of a line, or of the next line that has one.
  firstOf(line: number): number {
    let low = 0;
    let high = this.moves.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.moves[middle].line < line) low = middle + 1;
      else high = middle;
    }
    return Math.min(low, this.moves.length - 1);
  }
}

// Where the tool is when a share of a move is done.
export function placeIn(move: Move, share: number): [number, number, number] {
  const z = move.z0 + (move.z1 - move.z0) * share;
  if (move.kind === 'arc') {
    const angle = move.from + move.sweep * share;
    return [move.cx + move.radius * Math.cos(angle), move.cy + move.radius * Math.sin(angle), z];
  }
  return [move.x0 + (move.x1 - move.x0) * share, move.y0 + (move.y1 - move.y0) * share, z];
}

export function clockText(seconds: number): string {
  const whole = Math.floor(seconds + 1e-6);
  const two = (value: number) => String(value).padStart(2, '0');
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor(whole / 60) % 60;
  return hours > 0 ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}
