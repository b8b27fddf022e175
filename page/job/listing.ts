// A program's lines: only those in sight are in the page, however long the program is.

import { $, around } from './data';

const LINE = 24;

export class Listing {
  private all: HTMLElement;
  private lines: string[] = [];
  private current = -1;
  private first = -1;
  // Where it stands is kept, not asked for: asking makes the browser lay out the page, which it need not do for a frame.
  private top = 0;
  private height: number;

  // `jump` is told the number of a line that was clicked.
  constructor(private element: HTMLElement, jump: (line: number) => void) {
    this.all = element.firstElementChild as HTMLElement;
    this.height = element.clientHeight;
    element.addEventListener('scroll', () => {
      this.top = element.scrollTop;
      this.fill();
    });
    element.addEventListener('click', event => {
      const line = around(event, '.code-line');
      if (line) jump(Number(line.dataset.line));
    });
    new ResizeObserver(() => {
      this.height = element.clientHeight;
      this.fill(true);
    }).observe(element);
  }

  load(lines: string[]): void {
    this.lines = lines;
    this.current = -1;
    this.all.style.height = `${lines.length * LINE}px`;
    this.scroll(0);
    this.fill(true);
  }

  private scroll(top: number): void {
    this.top = Math.max(0, Math.min(this.lines.length * LINE - this.height, top));
    this.element.scrollTop = this.top;
  }

  private fill(anew = false): void {
    const shown = Math.ceil(this.height / LINE) + 12;
    const first = Math.max(0, Math.min(this.lines.length - shown, Math.floor(this.top / LINE) - 6));
    if (first === this.first && !anew) return;
    this.first = first;
    const rows: HTMLElement[] = [];
    for (let i = first; i < Math.min(this.lines.length, first + shown); i++) {
      const row = document.createElement('div');
      row.className = 'code-line';
      row.id = `line-${i}`;
      row.setAttribute('role', 'option');
      row.setAttribute('aria-selected', String(i === this.current));
      row.setAttribute('aria-posinset', String(i + 1));
      row.setAttribute('aria-setsize', String(this.lines.length));
      row.dataset.line = String(i);
      row.style.top = `${i * LINE}px`;
      const number = document.createElement('span');
      number.className = 'code-no';
      number.textContent = String(i + 1);
      row.append(number, this.lines[i] || ' ');
      if (this.lines[i].startsWith('(')) row.classList.add('code-comment');
      rows.push(row);
    }
    this.all.replaceChildren(...rows);
  }

  // Marks a line and keeps it in sight.
  mark(line: number): void {
    if (line === this.current) return;
    const old = $(`line-${this.current}`);
    if (old) old.setAttribute('aria-selected', 'false');
    this.current = line;
    const top = line * LINE;
    if (top < this.top + 2 * LINE || top > this.top + this.height - 4 * LINE) {
      this.scroll(top - this.height / 3);
      this.fill();
    }
    const row = $(`line-${line}`);
    if (row) row.setAttribute('aria-selected', 'true');
    this.element.setAttribute('aria-activedescendant', `line-${line}`);
  }
}
