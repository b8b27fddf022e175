// From what is told to the field where it is mended.

import { pathTo, tableAround, type Path, type TableNode } from './spec';
import type { Problem } from './told';
import { set } from './state';

/** Where a problem belongs in the form: the key that its table lacks, or the smallest thing that it points into. */
export function pathOf(top: TableNode | null, problem: Problem): Path | null {
  const table = tableAround(top, problem.span[0]);
  if (problem.lacks) return top ? [...(table ?? []), problem.lacks.name] : null;
  const named = pathTo(top, problem.span[0]);
  return named && named.length > (table?.length ?? 0) ? named : table ?? named;
}

/** What a place is called in the form: `thickness` of `stock`, the second `hole`. */
export function called(path: Path): string {
  const names = path.filter((step): step is string => typeof step === 'string').map(step => (step === 'stock' ? 'board' : step === 'pocket' ? 'recess' : step === 'part' ? 'loose part' : step.replaceAll('-', ' ')));
  return names.slice(-2).reverse().join(', ');
}

const PATIENCE = 40;
const STEP = 60;

/** Brings a field before the eyes and puts the cursor in it, as soon as it is there; the cursor is not taken out of another field that was entered meanwhile. */
export function toField(path: Path): void {
  set({ asText: false });
  const before = document.activeElement;
  const wanted = path.join('/');
  let left = PATIENCE;
  const look = (): void => {
    const held = document.activeElement;
    if (held !== before && held?.matches('input, select, textarea')) return;
    const all = [...document.querySelectorAll<HTMLElement>('.ask [data-path]')];
    const field = all.find(one => one.dataset.path === wanted) ?? all.find(one => one.dataset.path!.startsWith(`${wanted}/`));
    if (!field) {
      if (left-- > 0) setTimeout(look, STEP);
      return;
    }
    for (let at = field.parentElement; at; at = at.parentElement) if (at instanceof HTMLDetailsElement) at.open = true;
    field.scrollIntoView({ block: 'center' });
    (field.querySelector<HTMLElement>('input, select') ?? field).focus({ preventScroll: true });
  };
  setTimeout(look, STEP);
}

/** Shows the spec as text with a problem's place chosen in it, where no field can show it. */
export function toText(start: number, end: number, line: number): void {
  set({ asText: true });
  setTimeout(() => {
    const area = document.querySelector<HTMLTextAreaElement>('#spec-text');
    if (!area) return;
    area.focus();
    area.setSelectionRange(start, end);
    area.scrollTop = Math.max(0, (line - 4) * (parseFloat(getComputedStyle(area).lineHeight) || 20));
  }, STEP);
}
