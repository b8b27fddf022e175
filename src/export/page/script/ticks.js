// Steps ticked off, kept across reloads where the browser lets a page keep anything.

const ticks = {
  done: new Set(),
  place: `nestwright ${scene.key}`,
  kept: true,
  // Has a step been ticked, now or before?
  moved: false,
  watchers: [],
  read() {
    try {
      const text = localStorage.getItem(ticks.place);
      const list = text === null ? [] : JSON.parse(text);
      if (Array.isArray(list)) ticks.done = new Set(list.filter(id => typeof id === 'string'));
    } catch {
      ticks.kept = false;
    }
  },
  write() {
    try {
      localStorage.setItem(ticks.place, JSON.stringify([...ticks.done]));
    } catch {
      ticks.kept = false;
    }
  },
  show() {
    for (const list of document.querySelectorAll('[data-ticks]')) {
      const boxes = [...list.querySelectorAll('input[data-tick]')];
      let next = null;
      for (const box of boxes) {
        box.checked = ticks.done.has(box.dataset.tick);
        box.closest('li').classList.toggle('is-done', box.checked);
        if (!box.checked && next === null) next = box;
      }
      for (const box of boxes) {
        box.closest('li').classList.toggle('is-next', box === next);
        // The same step where a picture shows it.
        const mark = $(`mark-${box.dataset.tick}`);
        if (!mark) continue;
        mark.classList.toggle('is-done', box.checked);
        mark.classList.toggle('is-next', box === next);
      }
      // The setting of the next step is the one that is open.
      const group = next && next.closest('details');
      if (group && !group.open && ticks.moved) group.open = true;
      const count = boxes.filter(box => box.checked).length;
      const said = list.querySelector('.ticks-said');
      if (said) said.textContent = `${count} of ${boxes.length} done${ticks.kept ? '' : '; this browser will not remember them'}`;
    }
    ticks.watchers.forEach(watcher => watcher());
  },
  start() {
    if (!document.querySelector('[data-ticks]')) return;
    ticks.read();
    ticks.moved = ticks.done.size > 0;
    ticks.show();
    document.addEventListener('change', event => {
      const id = event.target.dataset && event.target.dataset.tick;
      if (!id) return;
      if (event.target.checked) ticks.done.add(id);
      else ticks.done.delete(id);
      ticks.write();
      ticks.moved = true;
      ticks.show();
    });
    document.addEventListener('click', event => {
      const button = event.target.closest('[data-ticks-clear]');
      if (!button) return;
      for (const box of button.closest('[data-ticks]').querySelectorAll('input[data-tick]')) ticks.done.delete(box.dataset.tick);
      ticks.write();
      ticks.show();
    });
  },
};
