// Steps ticked off, kept across reloads where the browser lets a page keep anything.

import { $, around, scene } from './data';

export const ticks = {
  done: new Set<string>(),
  place: `nestwright ${scene.key}`,
  kept: true,
  // Has a step been ticked, now or before?
  moved: false,
  watchers: [] as (() => void)[],
  read(): void {
    try {
      const text = localStorage.getItem(ticks.place);
      const list: unknown = text === null ? [] : JSON.parse(text);
      if (Array.isArray(list)) ticks.done = new Set(list.filter((id): id is string => typeof id === 'string'));
    } catch {
      ticks.kept = false;
    }
  },
  write(): void {
    try {
      localStorage.setItem(ticks.place, JSON.stringify([...ticks.done]));
    } catch {
      ticks.kept = false;
    }
  },
  show(): void {
    for (const list of document.querySelectorAll('[data-ticks]')) {
      const boxes = [...list.querySelectorAll<HTMLInputElement>('input[data-tick]')];
      let next: HTMLInputElement | null = null;
      for (const box of boxes) {
        box.checked = ticks.done.has(box.dataset.tick!);
        box.closest('li')!.classList.toggle('is-done', box.checked);
        if (!box.checked && next === null) next = box;
      }
      for (const box of boxes) {
        box.closest('li')!.classList.toggle('is-next', box === next);
        // The same step where a picture shows it.
        const mark = $(`mark-${box.dataset.tick}`);
        if (!mark) continue;
        mark.classList.toggle('is-done', box.checked);
        mark.classList.toggle('is-next', box === next);
      }
      // The setting of the next step is the one that is open.
      const group = (next as HTMLInputElement | null)?.closest('details');
      if (group && !group.open && ticks.moved) group.open = true;
      const count = boxes.filter(box => box.checked).length;
      const said = list.querySelector('.ticks-said');
      if (said) said.textContent = `${count} of ${boxes.length} done${ticks.kept ? '' : '; this browser will not remember them'}`;
    }
    ticks.watchers.forEach(watcher => watcher());
  },
  start(): void {
    if (!document.querySelector('[data-ticks]')) return;
    ticks.read();
    ticks.moved = ticks.done.size > 0;
    ticks.show();
    document.addEventListener('change', event => {
      const box = event.target as HTMLInputElement;
      const id = box.dataset?.tick;
      if (!id) return;
      if (box.checked) ticks.done.add(id);
      else ticks.done.delete(id);
      ticks.write();
      ticks.moved = true;
      ticks.show();
    });
    document.addEventListener('click', event => {
      const button = around(event, '[data-ticks-clear]');
      if (!button) return;
      for (const box of button.closest('[data-ticks]')!.querySelectorAll<HTMLInputElement>('input[data-tick]')) ticks.done.delete(box.dataset.tick!);
      ticks.write();
      ticks.show();
    });
  },
};
