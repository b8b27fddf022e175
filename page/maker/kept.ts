// What the page keeps in the browser: jobs with their history, and the maker's shop.

export interface Job {
  id: string;
  name: string;
  text: string;
  past: string[];
  future: string[];
}

export interface OwnProfile {
  folder: string;
  name: string;
  text: string;
}

export interface Shop {
  profiles: OwnProfile[];
  lists: { name: string; text: string }[];
  /** Stock, machine, saw and prices of a new job, as a spec's text; empty for the starters' own. */
  usual: string;
}

export interface Kept {
  jobs: Job[];
  /** The job that is open. */
  at: string | null;
  shop: Shop;
}

const PLACE = 'nestwright';
/** Steps back that are kept of each job. */
const STEPS = 200;

const EMPTY: Kept = { jobs: [], at: null, shop: { profiles: [], lists: [], usual: '' } };

export function load(): Kept {
  try {
    const kept = JSON.parse(localStorage.getItem(PLACE) ?? 'null') as Partial<Kept> | null;
    if (!kept || !Array.isArray(kept.jobs)) return EMPTY;
    return { ...EMPTY, ...kept, shop: { ...EMPTY.shop, ...kept.shop } };
  } catch {
    return EMPTY;
  }
}

/** Whether the browser took it; a private window may not. */
export function keep(kept: Kept): boolean {
  try {
    localStorage.setItem(PLACE, JSON.stringify(kept));
    return true;
  } catch {
    return false;
  }
}

/** The job with another text; `joined` makes it part of the last step. */
export function changed(job: Job, text: string, joined: boolean): Job {
  if (text === job.text) return job;
  const past = joined && job.past.length > 0 ? job.past : [...job.past, job.text].slice(-STEPS);
  return { ...job, text, past, future: [] };
}

export function undone(job: Job): Job {
  const before = job.past[job.past.length - 1];
  return before === undefined ? job : { ...job, text: before, past: job.past.slice(0, -1), future: [job.text, ...job.future] };
}

export function redone(job: Job): Job {
  const [next, ...future] = job.future;
  return next === undefined ? job : { ...job, text: next, past: [...job.past, job.text], future };
}
