// A program's lines: only those in sight are in the page, however long the program is.

const LINE = 24;

class Listing {
  // `jump` is told the number of a line that was clicked.
  constructor(element, jump) {
    this.element = element;
    this.all = element.firstElementChild;
    this.lines = [];
    this.current = -1;
    this.first = -1;
    element.addEventListener('scroll', () => this.fill());
    element.addEventListener('click', event => {
      const line = event.target.closest('.code-line');
      if (line) jump(Number(line.dataset.line));
    });
    new ResizeObserver(() => this.fill(true)).observe(element);
  }

  load(lines) {
    this.lines = lines;
    this.current = -1;
    this.all.style.height = `${lines.length * LINE}px`;
    this.element.scrollTop = 0;
    this.fill(true);
  }

  fill(anew) {
    const shown = Math.ceil(this.element.clientHeight / LINE) + 12;
    const first = Math.max(0, Math.min(this.lines.length - shown, Math.floor(this.element.scrollTop / LINE) - 6));
    if (first === this.first && !anew) return;
    this.first = first;
    const rows = [];
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
  mark(line) {
    if (line === this.current) return;
    const old = $(`line-${this.current}`);
    if (old) old.setAttribute('aria-selected', 'false');
    this.current = line;
    const top = line * LINE;
    const { scrollTop, clientHeight } = this.element;
    if (top < scrollTop + 2 * LINE || top > scrollTop + clientHeight - 4 * LINE) {
      this.element.scrollTop = Math.max(0, top - clientHeight / 3);
      this.fill();
    }
    const row = $(`line-${line}`);
    if (row) row.setAttribute('aria-selected', 'true');
    this.element.setAttribute('aria-activedescendant', `line-${line}`);
  }
}
