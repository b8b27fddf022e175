// The spec as the form sees it: keys as declared, values as they stand in the text, and changes to be made to it.

import type { Problem, Span } from './told';

export type Step = string | number;
export type Path = Step[];

/** A value as a maker entered it. */
export type Written = { text: string } | { plain: string } | { flag: boolean } | { list: Written[] } | { sourced: [Written, string] };
export type Change = { value: Written } | 'remove' | { add: [string, Written][] };

export interface Takes {
  kind: 'text' | 'flag' | 'length' | 'lengths' | 'number' | 'numbers' | 'whole' | 'words' | 'list' | 'profile' | 'profiles' | 'table' | 'tables' | 'said';
  names?: string[];
  words?: string[];
  least?: number;
  most?: number;
  keys?: Key[];
}

export interface Key {
  name: string;
  about: string;
  needed: boolean;
  instead: string[];
  unless: string;
  says: string;
  limits: string | null;
  takes: Takes;
}

export interface Keys {
  spec: Key[];
  kinds: Record<string, { about: string; keys: Key[] }>;
  profiles: Record<string, { one: string; keys: Key[] }>;
}

export interface TableNode {
  is: 'table';
  keys: Record<string, Node>;
  span: Span | null;
}

export type Node =
  | TableNode
  | { is: 'tables'; items: TableNode[]; span: Span | null }
  | { is: 'list'; items: string[]; span: Span | null }
  | { is: 'value'; shown: string; span: Span | null };

export interface Profile {
  folder: string;
  name: string;
  title: string;
  text: string;
  own: boolean;
}

/** The tables that stand under a key, be it one or several. */
export function tablesOf(node: Node | undefined): TableNode[] {
  if (!node) return [];
  if (node.is === 'tables') return node.items;
  return node.is === 'table' ? [node] : [];
}

export const shown = (node: Node | undefined): string => (node?.is === 'value' ? node.shown : node?.is === 'list' ? node.items.join(', ') : '');

/** What is written for a key that takes one value. */
export function written(takes: Takes, value: string): Written {
  switch (takes.kind) {
    case 'text':
    case 'words':
    case 'profile':
      return { text: value };
    case 'flag':
      return { flag: value === 'true' };
    case 'list':
    case 'profiles':
      return { list: value.split(',').map(one => one.trim()).filter(Boolean).map(text => ({ text })) };
    default:
      return { plain: value };
  }
}

/** A node of this kind at the end of a path; `[stock]` counts as the first of several. */
export function nodeAt(top: TableNode | null, path: Path): Node | undefined {
  let at: Node | undefined = top ?? undefined;
  for (const step of path) {
    if (!at) return undefined;
    if (typeof step === 'number') at = tablesOf(at)[step];
    else at = at.is === 'table' ? at.keys[step] : undefined;
  }
  return at;
}

const within = (span: Span | null, at: number): boolean => span !== null && span[0] <= at && at <= span[1];

/** Where a place of the text belongs in the form: the path of the smallest node around it. */
export function pathTo(top: TableNode | null, at: number): Path | null {
  let best: Path | null = null;
  let size = Infinity;
  const look = (node: Node, path: Path): void => {
    if (within(node.span, at) && node.span && node.span[1] - node.span[0] <= size) {
      best = path;
      size = node.span[1] - node.span[0];
    }
    if (node.is === 'table') for (const [name, one] of Object.entries(node.keys)) look(one, [...path, name]);
    if (node.is === 'tables') node.items.forEach((one, i) => look(one, [...path, i]));
  };
  if (top) look(top, []);
  return best;
}

/** A table's heading spans only itself; what stands under it up to the next heading is its own. */
export function tableAround(top: TableNode | null, at: number): Path | null {
  let best: Path | null = null;
  let start = -1;
  const look = (node: Node, path: Path): void => {
    if (node.is === 'table' && node.span && node.span[0] <= at && node.span[0] > start) {
      best = path;
      start = node.span[0];
    }
    if (node.is === 'table') for (const [name, one] of Object.entries(node.keys)) look(one, [...path, name]);
    if (node.is === 'tables') node.items.forEach((one, i) => look(one, [...path, i]));
  };
  if (top) look(top, []);
  return best;
}

export const same = (a: Path, b: Path): boolean => a.length === b.length && a.every((step, i) => step === b[i]);

/** `stock` alone and the first of `[[stock]]` are one place. */
export const plainPath = (path: Path): string => path.filter((step, i) => !(step === 0 && i === path.length - 1)).join('/');

/** What is wrong at a field: the problems whose place is in its value; for a key that is missing, those at its table. */
export function problemsAt(top: TableNode | null, problems: Problem[], path: Path): Problem[] {
  const node = nodeAt(top, path);
  const key = path[path.length - 1];
  return problems.filter(problem => {
    if (node?.span) return problem.span[0] >= node.span[0] && problem.span[1] <= node.span[1];
    const table = tableAround(top, problem.span[0]) ?? [];
    return problem.lacks?.name === key && plainPath(table) === plainPath(path.slice(0, -1));
  });
}

const encoder = new TextEncoder();
const decoder = new TextDecoder();

/** A place of the text, counted in bytes, as a text field counts it. */
export const letters = (text: string, bytes: number): number => decoder.decode(encoder.encode(text).subarray(0, bytes)).length;
