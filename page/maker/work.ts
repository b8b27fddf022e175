// The job on the bench: opened, changed, undone, and looked at with every change.

import { Hand, LetGo } from './hand';
import { changed, keep, redone, undone, type Job, type Kept } from './kept';
import { dropPlan, plan, shelvePlanner } from './planning';
import type { Change, Keys, Path, Profile, TableNode } from './spec';
import { job, now, set, type State } from './state';
import type { Answer, Seen } from './told';

/** It looks at the job, at every keystroke. */
const eye = new Hand();

export async function begin(): Promise<void> {
  const shelf = shelfOf(now().kept);
  shelvePlanner(...shelf);
  const told = (await eye.shelve(...shelf)) as State['shelfTold'];
  const [keys, starters, profiles] = await Promise.all([
    eye.ask<Keys>('keys'),
    eye.ask<State['starters']>('starters'),
    eye.ask<Profile[]>('profiles'),
  ]);
  const open = now().kept.jobs.some(job => job.id === now().kept.at);
  set({ keys, starters, profiles, shelfTold: told, page: open ? 'job' : 'start' });
  if (open) look();
}

const shelfOf = (kept: Kept): [string, string] => [
  JSON.stringify(kept.shop.profiles.map(({ folder, name, text }) => [folder, name, text])),
  JSON.stringify(kept.shop.lists.map(({ name, text }) => [name, text])),
];

function keepAll(kept: Kept): void {
  set({ kept, unkept: !keep(kept) });
}

export function openJob(id: string | null): void {
  keepAll({ ...now().kept, at: id });
  set({ page: id ? 'job' : 'start', view: { at: 'box' }, box: 0, part: null, ...nothing });
  if (id) look();
}

const nothing = { seen: null, first: null, plan: null, saw: [], files: null, problems: [], refused: [], fault: '', effort: -1, fields: null };

/** A spec that comes from outside stays as it is; a starter gets what the shop has. */
export async function newJob(name: string, text: string, asItIs = false): Promise<void> {
  const names = new Set(now().kept.jobs.map(one => one.name));
  let free = name;
  for (let i = 2; names.has(free); i++) free = `${name}-${i}`;
  let own = text;
  if (now().kept.shop.usual && !asItIs) {
    const carried = await eye.ask<{ text?: string }>('carry', text, now().kept.shop.usual);
    own = carried.text ?? text;
  }
  const made: Job = { id: `${Date.now().toString(36)}${Math.random().toString(36).slice(2, 6)}`, name: free, text: own, past: [], future: [] };
  keepAll({ ...now().kept, jobs: [made, ...now().kept.jobs] });
  openJob(made.id);
}

export function dropJob(id: string): void {
  const jobs = now().kept.jobs.filter(one => one.id !== id);
  keepAll({ ...now().kept, jobs, at: now().kept.at === id ? null : now().kept.at });
}

function put(job: Job): void {
  keepAll({ ...now().kept, jobs: now().kept.jobs.map(one => (one.id === job.id ? job : one)) });
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
  keepAll({ ...now().kept, shop: { ...now().kept.shop, ...shop } });
  const shelf = shelfOf(now().kept);
  shelvePlanner(...shelf);
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
  const { shop } = now().kept;
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

/** Looks at the job as it stands; while a look is under way the newest text waits for it. */
export function look(): void {
  changedAt = performance.now();
  dropPlan();
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

/** What tells a finding from all others. */
export const nameOf = (finding: { id: string; of: string; spot: { start: number } | null }): string => `${finding.id} ${finding.of} ${finding.spot?.start ?? ''}`;

function freshOf(before: Seen | null, after: Seen): Set<string> {
  const known = new Map(before?.themes.flatMap(theme => theme.findings).map(one => [`${one.id} ${one.of}`, `${one.status} ${one.measured}`]));
  const all = after.themes.flatMap(theme => theme.findings);
  return new Set(known.size === 0 ? [] : all.filter(one => known.get(`${one.id} ${one.of}`) !== `${one.status} ${one.measured}`).map(nameOf));
}

function saw(answer: Answer, fields: TableNode | null): void {
  const took = { ...now().took, look: performance.now() - changedAt };
  const stale = { files: null, effort: -1, took };
  if (answer.seen) {
    const fresh = freshOf(now().seen, answer.seen);
    const refused = answer.seen.refused;
    set({ ...stale, fields, seen: answer.seen, fresh, problems: [], refused: [], fault: '', stage: refused ? 'refused' : 'trying', ...(refused ? { plan: null, first: null, saw: [] } : {}) });
    void plan(refused, changedAt);
  } else if (answer.problems) {
    set({ ...stale, fields, problems: answer.problems, stage: 'unread', plan: null, first: null, saw: [] });
  } else {
    set({ ...stale, fields, fault: answer.fault ?? 'no answer', stage: 'fault', plan: null, first: null, saw: [] });
  }
}
