// Which part is chosen: one number, shown wherever the part is.

import { $, around, job } from './data';

export const choice = {
  part: null as number | null,
  watchers: [] as (() => void)[],
  // Chooses a part; the one already chosen, or none, clears the choice.
  take(part: number | null): void {
    choice.part = part === choice.part ? null : part;
    for (const element of document.querySelectorAll<HTMLElement>('[data-part]')) {
      element.classList.toggle('is-chosen', Number(element.dataset.part) === choice.part);
    }
    for (const button of document.querySelectorAll<HTMLElement>('button[data-choose]')) {
      button.setAttribute('aria-pressed', String(Number(button.dataset.choose) === choice.part));
    }
    choice.watchers.forEach(watcher => watcher());
    choice.say();
  },
  say(): void {
    const bar = $('chosen');
    bar.hidden = choice.part === null;
    document.body.classList.toggle('has-chosen', !bar.hidden);
    if (choice.part === null) return;
    const part = job.parts[choice.part];
    const row = $(`part-${choice.part + 1}`);
    const size = row.querySelector('.size')!.textContent;
    $('chosen-text').textContent = `${choice.part + 1}  ${part.name}: cut ${part.count}, ${size}`;
    const ways = $('chosen-ways');
    ways.textContent = '';
    const way = (href: string, text: string) => {
      const link = document.createElement('a');
      link.href = href;
      link.textContent = text;
      ways.append(link);
    };
    if (part.box !== null && $('box')) way('#box', 'box');
    way(`#part-${choice.part + 1}`, 'list');
    for (const sheet of document.querySelectorAll<HTMLElement>('.sheet')) {
      if (sheet.querySelector('.piece.is-chosen')) way(`#${sheet.id}`, sheet.dataset.say!);
    }
    if (part.drawing) way(part.drawing, 'drawing');
  },
  // The pieces of a sheet are one stop of the tab key; arrow keys go from piece to piece, Enter and Space choose.
  pieces(): void {
    for (const sheet of document.querySelectorAll<SVGSVGElement>('.sheet svg[role="group"]')) {
      const all = [...sheet.querySelectorAll<SVGGElement>('.piece')];
      if (all.length) all[0].setAttribute('tabindex', '0');
      sheet.addEventListener('keydown', event => {
        const at = all.indexOf((event.target as Element).closest<SVGGElement>('.piece')!);
        if (at < 0) return;
        const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
        if (step) {
          const next = all[(at + step + all.length) % all.length];
          all[at].setAttribute('tabindex', '-1');
          next.setAttribute('tabindex', '0');
          next.focus();
        } else if (event.key === 'Enter' || event.key === ' ') {
          choice.take(Number(all[at].dataset.choose));
        } else {
          return;
        }
        event.preventDefault();
      });
    }
  },
  // Numbers too small to be read are left out: the piece is named when it is chosen.
  readable(): void {
    const LEAST = 8;
    for (const sheet of document.querySelectorAll<SVGSVGElement>('.sheet svg[role="group"]')) {
      const scale = sheet.getBoundingClientRect().width / sheet.viewBox.baseVal.width;
      if (!scale) continue;
      for (const text of sheet.querySelectorAll('text')) {
        text.classList.toggle('too-small', parseFloat(getComputedStyle(text).fontSize) * scale < LEAST);
      }
    }
  },
  start(): void {
    choice.pieces();
    choice.readable();
    addEventListener('resize', choice.readable);
    document.addEventListener('click', event => {
      const target = around(event, '[data-choose]');
      if (target) choice.take(Number(target.dataset.choose));
    });
    document.addEventListener('keydown', event => {
      if (event.key === 'Escape' && choice.part !== null) choice.take(null);
    });
    $('chosen-none').addEventListener('click', () => {
      const row = $(`part-${choice.part! + 1}`);
      choice.take(null);
      row.querySelector('button')!.focus({ preventScroll: true });
    });
  },
};
