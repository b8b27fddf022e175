// From a box that fits to a plan and its folder: each part tried, laid out, laid out better, made.

import { Hand, LetGo } from './hand';
import { job, now, set } from './state';
import type { Answer } from './told';

/** What the command searches with, unless told. */
export const EFFORT = 10;

/** It plans, and is let go when the job changes under it. */
const planner = new Hand();
/** Counts the plans: one that is no longer the newest takes nothing more. */
let round = 0;

/** Drops whatever is planned: it belongs to the job as it was, and a fresh planner would answer it about nothing. */
export function dropPlan(): void {
  round++;
  planner.letGo();
}

/** What a planner is told of the shop before all else. */
export const shelvePlanner = (own: string, lists: string): void => planner.remember(own, lists);

const STILL = 150;

const sleep = (time: number): Promise<void> => new Promise(done => setTimeout(done, time));

/** Tries the parts, lays them out at once, and then better. */
export async function plan(refused: boolean, changedAt: number): Promise<void> {
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
      if (first) set({ first, plan: null, took: { ...now().took, plan: performance.now() - changedAt } });
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
  if (now().stage !== 'better') return;
  dropPlan();
  set({ stage: 'ready' });
}

/** Looks for a better plan for ten times as long. */
export async function longer(): Promise<void> {
  const own = ++round;
  const effort = Math.max(now().effort, 1) * 10;
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
  if (!now().plan || now().making) return;
  set({ making: true });
  try {
    let files = await planner.ask<Map<string, Uint8Array>>('files').catch(why => {
      if (why instanceof LetGo) throw why;
      return null;
    });
    if (!files && (await prepared()) && took(await planner.ask<Answer>('lay', now().effort))) {
      files = await planner.ask<Map<string, Uint8Array>>('files');
    }
    if (files) set({ files, view: { at: 'files' } });
  } catch (why) {
    if (!(why instanceof LetGo)) set({ stage: 'fault', fault: String(why) });
  } finally {
    set({ making: false });
  }
}
