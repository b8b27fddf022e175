// The job on the bench: its text, what has been seen of it, and what the engine is at.

import { Hand, LetGo } from './hand';
import { changed, keep, load, redone, undone, type Job, type Kept } from './kept';
import type { Change, Keys, Path, Profile, TableNode } from './spec';
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

/** What the command searches with, unless told. */
export const EFFORT = 10;

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

/** One hand looks, at every keystroke; the other plans, and is let go when the job changes under it. */
const eye = new Hand();
const planner = new Hand();

export async function begin(): Promise<void> {
  const shelf = shelfOf(state.kept);
  planner.remember(...shelf);
  const told = (await eye.shelve(...shelf)) as State['shelfTold'];
  const [keys, starters, profiles] = await Promise.all([
    eye.ask<Keys>('keys'),
    eye.ask<State['starters']>('starters'),
    eye.ask<Profile[]>('profiles'),
  ]);
  const open = state.kept.jobs.some(job => job.id === state.kept.at);
  set({ keys, starters, profiles, shelfTold: told, page: open ? 'job' : 'start' });
  if (open) look();
}

const shelfOf = (kept: Kept): [string, string] => [
  JSON.stringify(kept.shop.profiles.map(({ folder, name, text }) => [folder, name, text])),
  JSON.stringify(kept.shop.lists.map(({ name, text }) => [name, text])),
];

export const job = (): Job | null => state.kept.jobs.find(one => one.id === state.kept.at) ?? null;

function keepAll(kept: Kept): void {
  set({ kept, unkept: !keep(kept) });
}

export function openJob(id: string | null): void {
  keepAll({ ...state.kept, at: id });
  set({ page: id ? 'job' : 'start', view: { at: 'box' }, box: 0, part: null, ...nothing });
  if (id) look();
}

const nothing = { seen: null, first: null, plan: null, saw: [], files: null, problems: [], refused: [], fault: '', effort: -1, fields: null };

/** A spec that comes from outside stays as it is; a starter gets what the shop has. */
export async function newJob(name: string, text: string, asItIs = false): Promise<void> {
  const names = new Set(state.kept.jobs.map(one => one.name));
  let free = name;
  for (let i = 2; names.has(free); i++) free = `${name}-${i}`;
  let own = text;
  if (state.kept.shop.usual && !asItIs) {
    const carried = await eye.ask<{ text?: string }>('carry', text, state.kept.shop.usual);
    own = carried.text ?? text;
  }
  const made: Job = { id: `${Date.now().toString(36)}${Math.random().toString(36).slice(2, 6)}`, name: free, text: own, past: [], future: [] };
  keepAll({ ...state.kept, jobs: [made, ...state.kept.jobs] });
  openJob(made.id);
}

export function dropJob(id: string): void {
  const jobs = state.kept.jobs.filter(one => one.id !== id);
  keepAll({ ...state.kept, jobs, at: state.kept.at === id ? null : state.kept.at });
}

function put(job: Job): void {
  keepAll({ ...state.kept, jobs: state.kept.jobs.map(one => (one.id === job.id ? job : one)) });
}

/** Undo takes changes of one place, made soon after each other, as one. */
let lastPlace = '';
let lastTime = 0;
const SOON = 1500;

/** What is changed from here on is undone by itself. */
export function newStep(): void {
  lastPlace = '';
}

export function write(text: string, place: string): void {
  const open = job();
  if (!open || text === open.text) return;
  const time = Date.now();
  const joined = place === lastPlace && time - lastTime < SOON;
  [lastPlace, lastTime] = [place, time];
  put(changed(open, text, joined));
  look();
}

export function rename(name: string): void {
  const open = job();
  if (open) put({ ...open, name });
}

export function back(on: boolean): void {
  const open = job();
  if (!open) return;
  lastPlace = '';
  put(on ? redone(open) : undone(open));
  look();
}

/** Changes the text in one or more places. Changes made while one is on its way are made to what comes of it. */
let queue: Promise<void> = Promise.resolve();

export function change(changes: [Path, Change][], place = JSON.stringify(changes.map(([path]) => path))): Promise<void> {
  queue = queue.then(async () => {
    const open = job();
    if (!open) return;
    const answer = await eye.ask<{ text?: string; broken?: string }>('change', open.text, JSON.stringify(changes)).catch(() => null);
    if (answer?.text !== undefined && job()?.id === open.id) write(answer.text, place);
  });
  return queue;
}

export async function setShop(shop: Partial<Kept['shop']>): Promise<void> {
  keepAll({ ...state.kept, shop: { ...state.kept.shop, ...shop } });
  const shelf = shelfOf(state.kept);
  planner.remember(...shelf);
  const told = (await eye.shelve(...shelf)) as State['shelfTold'];
  set({ shelfTold: told, profiles: await eye.ask<Profile[]>('profiles') });
  if (job()) look();
}

export const changeText = async (text: string, changes: [Path, Change][]): Promise<string> =>
  (await eye.ask<{ text?: string }>('change', text, JSON.stringify(changes))).text ?? text;

/** Takes a file that somebody hands to the page, whatever it is; says what became of it. */
export async function take(file: File): Promise<string> {
  const text = await file.text();
  const name = file.name.replace(/\.toml$/i, '') || 'job';
  const { kind } = await eye.ask<{ kind: string }>('kind_of', text);
  const { shop } = state.kept;
  if (kind === 'off-cuts') {
    await setShop({ lists: [...shop.lists.filter(list => list.name !== file.name), { name: file.name, text }] });
    return `${file.name} is a list of off-cuts; it is in your shop now.`;
  }
  if (kind !== 'spec') {
    await setShop({ profiles: [...shop.profiles.filter(one => one.folder !== kind || one.name !== name), { folder: kind, name, text }] });
    return `${file.name} is a profile; it is in your shop now, under ${kind}.`;
  }
  await newJob(name, text, true);
  return `${file.name} is open as a job of its own.`;
}

export const fieldsOf = async (text: string): Promise<TableNode | null> =>
  (await eye.ask<{ fields?: TableNode }>('fields', text)).fields ?? null;

/** Another job's boxes, for a picture; the job on the bench is looked at again after it. */
export const glance = (name: string, text: string): Promise<Answer> => eye.ask<Answer>('look', `${name}.toml`, text);

export const section = (index: number): Promise<string> => eye.ask<{ svg: string }>('section', index).then(answer => answer.svg);

let looking = false;
let again = false;
let changedAt = 0;
/** Counts the plans: one that is no longer the newest takes nothing more. */
let round = 0;

/** Looks at the job as it stands; while a look is under way the newest text waits for it. */
export function look(): void {
  changedAt = performance.now();
  // A plan that is still on its way belongs to the job as it was: a fresh planner would answer it about nothing.
  round++;
  planner.letGo();
  again = true;
  if (!looking) void lookUntilDone();
}

async function lookUntilDone(): Promise<void> {
  looking = true;
  try {
    while (again) {
      again = false;
      const open = job();
      if (!open) break;
      const { fields } = await eye.ask<{ fields?: TableNode }>('fields', open.text);
      const answer = await eye.ask<Answer>('look', `${open.name}.toml`, open.text);
      if (again || job()?.id !== open.id) continue;
      saw(answer, fields ?? null);
    }
  } catch (why) {
    if (!(why instanceof LetGo)) set({ stage: 'fault', fault: String(why) });
  } finally {
    looking = false;
  }
}

const nameOf = (finding: { id: string; of: string; spot: { start: number } | null }): string => `${finding.id} ${finding.of} ${finding.spot?.start ?? ''}`;

function freshOf(before: Seen | null, after: Seen): Set<string> {
  const known = new Map(before?.themes.flatMap(theme => theme.findings).map(one => [`${one.id} ${one.of}`, `${one.status} ${one.measured}`]));
  const all = after.themes.flatMap(theme => theme.findings);
  return new Set(known.size === 0 ? [] : all.filter(one => known.get(`${one.id} ${one.of}`) !== `${one.status} ${one.measured}`).map(nameOf));
}

export { nameOf };

function saw(answer: Answer, fields: TableNode | null): void {
  const took = { ...state.took, look: performance.now() - changedAt };
  const stale = { files: null, effort: -1, took };
  if (answer.seen) {
    const fresh = freshOf(state.seen, answer.seen);
    const refused = answer.seen.refused;
    set({ ...stale, fields, seen: answer.seen, fresh, problems: [], refused: [], fault: '', stage: refused ? 'refused' : 'trying', ...(refused ? { plan: null, first: null, saw: [] } : {}) });
    void plan(refused);
  } else if (answer.problems) {
    set({ ...stale, fields, problems: answer.problems, stage: 'unread', plan: null, first: null, saw: [] });
  } else {
    set({ ...stale, fields, fault: answer.fault ?? 'no answer', stage: 'fault', plan: null, first: null, saw: [] });
  }
}

const STILL = 150;

const sleep = (time: number): Promise<void> => new Promise(done => setTimeout(done, time));

/** Tries the parts, lays them out at once, and then better. */
async function plan(refused: boolean): Promise<void> {
  const own = ++round;
  await sleep(STILL);
  const open = job();
  if (own !== round || !open) return;
  try {
    const known = await planner.ask<Answer>('look', `${open.name}.toml`, open.text);
    if (own !== round || !known.seen) return;
    if (!refused) {
      const { first } = await planner.ask<Answer>('first');
      if (own !== round) return;
      if (first) set({ first, plan: null, took: { ...state.took, plan: performance.now() - changedAt } });
    }
    const ranged = await planner.ask<Answer>('range');
    if (own !== round || !took(ranged)) return;
    // A refused box learns which thickness would do; no more is tried of it.
    if (refused) return;
    const tried = await planner.ask<Answer>('try_out', EFFORT);
    if (own !== round || !took(tried)) return;
    if (tried.seen?.refused) return set({ stage: 'refused' });
    set({ stage: 'laying' });
    for (const effort of [0, EFFORT]) {
      const laid = await planner.ask<Answer>('lay', effort);
      if (own !== round || !took(laid) || !laid.plan) return;
      set({ plan: laid.plan, saw: laid.saw ?? [], effort, stage: effort === EFFORT ? 'ready' : 'better', files: null });
    }
  } catch (why) {
    if (!(why instanceof LetGo) && own === round) set({ stage: 'fault', fault: String(why) });
  }
}

/** Takes what an answer says; whether the way goes on. */
function took(answer: Answer): boolean {
  if (answer.seen) set({ seen: answer.seen });
  if (answer.refused) set({ refused: answer.refused, stage: 'refused', plan: null, first: null });
  if (answer.problems) set({ problems: answer.problems, stage: 'unread' });
  if (answer.fault) set({ fault: answer.fault, stage: 'fault' });
  return !answer.refused && !answer.problems && !answer.fault;
}

/** Ends a long search with the plan that is there. The hand that found it goes with it: the plan is laid again when it is made. */
export function enough(): void {
  if (state.stage !== 'better') return;
  round++;
  planner.letGo();
  set({ stage: 'ready' });
}

/** Looks for a better plan for ten times as long. */
export async function longer(): Promise<void> {
  const own = ++round;
  const effort = Math.max(state.effort, 1) * 10;
  set({ stage: 'better' });
  try {
    if (!(await prepared())) return;
    const laid = await planner.ask<Answer>('lay', effort);
    if (own === round && took(laid) && laid.plan) set({ plan: laid.plan, saw: laid.saw ?? [], effort, stage: 'ready', files: null });
  } catch (why) {
    if (!(why instanceof LetGo)) set({ stage: 'fault', fault: String(why) });
  }
}

/** A planner that knows the job as it stands. */
async function prepared(): Promise<boolean> {
  const open = job();
  if (!open) return false;
  await planner.ask<Answer>('look', `${open.name}.toml`, open.text);
  return took(await planner.ask<Answer>('try_out', EFFORT));
}

/** The files of the plan as it stands. */
export async function make(): Promise<void> {
  if (!state.plan || state.making) return;
  set({ making: true });
  try {
    let files = await planner.ask<Map<string, Uint8Array>>('files').catch(why => {
      if (why instanceof LetGo) throw why;
      return null;
    });
    if (!files && (await prepared()) && took(await planner.ask<Answer>('lay', state.effort))) {
      files = await planner.ask<Map<string, Uint8Array>>('files');
    }
    if (files) set({ files, view: { at: 'files' } });
  } catch (why) {
    if (!(why instanceof LetGo)) set({ stage: 'fault', fault: String(why) });
  } finally {
    set({ making: false });
  }
}
