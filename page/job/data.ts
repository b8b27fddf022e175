// What the page holds for its script: the job's record, and the scene.

import type { BoxSolid } from '../view/solids';

export interface Tool {
  number: number;
  diameter: number;
}

export interface ProgramRecord {
  tools: Tool[];
}

/** What the script needs of the record that the folder's `job.json` is. */
export interface Job {
  parts: { name: string; box: string | null; count: number; drawing: string }[];
  sheets: { length: number; width: number; screws?: { x: number; y: number; head: number }[] }[];
  programs: ProgramRecord[];
}

/** A program: its text, the moves that the reader made of it, and where its sheet lies (mm). */
export interface Source {
  file: string;
  sheet: number;
  text: string;
  top: number;
  thickness: number;
  face?: number;
  mirror?: Six;
  rapid: number;
  unit: number;
  packed: (number | null)[];
  heads: [number, string, number][];
}

/** The numbers of an affine map. */
export type Six = [number, number, number, number, number, number];

export interface Scene {
  key: string;
  boxes: BoxSolid[];
  programs: Source[];
}

const read = (id: string): unknown => JSON.parse(document.getElementById(id)!.textContent!);

export const job = read('job-data') as Job;
export const scene = read('scene-data') as Scene;

/** The element of this name, which the page is known to have. */
export const $ = <T extends Element = HTMLElement>(id: string): T => document.getElementById(id) as unknown as T;

/** What was clicked, or the element around it that answers. */
export const around = (event: Event, selector: string): HTMLElement | null => (event.target as Element).closest<HTMLElement>(selector);
