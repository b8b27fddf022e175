// What the page knows: jobs that are kept, the one that is open, what has been seen of it, and what is looked at.

import { load, type Job, type Kept } from './kept';
import type { Keys, Profile, TableNode } from './spec';
import type { Answer, Laid, Plan, Problem, RawFinding, Seen } from './told';

/** How far the engine is with the job as it stands. */
export type Stage =
  | 'reading'
  /** The text, or a key in it, can't be read. */
  | 'unread'
  /** Measured, and refused. */
  | 'refused'
  /** Measured; each part is being tried on its machine. */
  | 'trying'
  /** Being laid out for the first time. */
  | 'laying'
  /** A plan is there; a better one is looked for. */
  | 'better'
  | 'ready'
  /** Our own fault. */
  | 'fault';

export type View =
  | { at: 'box' }
  | { at: 'section' }
  | { at: 'panel'; face: string }
  | { at: 'sheets' }
  | { at: 'saw' }
  | { at: 'files' }
  | { at: 'machine' };

export interface State {
  kept: Kept;
  page: 'start' | 'job' | 'shop';
  keys: Keys | null;
  starters: { name: string; about: string; text: string }[];
  profiles: Profile[];
  /** What is wrong with own profiles. */
  shelfTold: { folder: string; name: string; told: Answer }[];
  fields: TableNode | null;
  stage: Stage;
  problems: Problem[];
  refused: RawFinding[];
  fault: string;
  seen: Seen | null;
  /** Findings whose figure changed with the last look. */
  fresh: Set<string>;
  /** The first layout that came, until there is a plan. */
  first: Laid | null;
  plan: Plan | null;
  saw: string[];
  /** The effort that the plan was found with. */
  effort: number;
  files: Map<string, Uint8Array> | null;
  making: boolean;
  view: View;
  /** Whether the spec is shown as text, not as questions. */
  asText: boolean;
  box: number;
  part: number | null;
  unkept: boolean;
  /** What was last done with a file that was handed to the page. */
  said: string;
  /** Milliseconds from the last change to its checks, and to its first layout. */
  took: { look: number; plan: number };
}

const start: State = {
  kept: load(),
  page: 'start',
  keys: null,
  starters: [],
  profiles: [],
  shelfTold: [],
  fields: null,
  stage: 'reading',
  problems: [],
  refused: [],
  fault: '',
  seen: null,
  fresh: new Set(),
  first: null,
  plan: null,
  saw: [],
  effort: -1,
  files: null,
  making: false,
  view: { at: 'box' },
  asText: false,
  box: 0,
  part: null,
  unkept: false,
  said: '',
  took: { look: 0, plan: 0 },
};

let state = start;
const watchers = new Set<() => void>();

export const now = (): State => state;

export function watch(watcher: () => void): () => void {
  watchers.add(watcher);
  return () => watchers.delete(watcher);
}

export function set(part: Partial<State>): void {
  state = { ...state, ...part };
  watchers.forEach(watcher => watcher());
}

/** The job that is open. */
export const job = (): Job | null => state.kept.jobs.find(one => one.id === state.kept.at) ?? null;
