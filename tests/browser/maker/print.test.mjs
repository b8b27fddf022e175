// The page on paper: the job, its verdict, what was found and the picture on show, and nothing cut off.

import assert from 'node:assert/strict';
import { each, enter, open, press, start, told, until } from './open.mjs';

/** A4 upright, 96 to the inch, less its margins. */
const PAPER = { width: 718, height: 1047 };

/** What is seen of an element on paper; null where it is not. */
const seen = (page, what) => page.$$eval(what, all => all.filter(one => one.getClientRects().length > 0).map(one => one.textContent.trim()));

/** What reaches over the paper's edge, or out of a box that cuts it off. */
const cutOff = page =>
  page.evaluate(() => {
    const wide = document.documentElement.clientWidth;
    return [...document.querySelectorAll('main *')].filter(one => {
      if (one.closest('.unseen, svg defs, .shapes') || one.getClientRects().length === 0) return false;
      const { left, right } = one.getBoundingClientRect();
      if (left < -1 || right > wide + 1) return true;
      return getComputedStyle(one).overflow !== 'visible' && !(one instanceof SVGElement) && !(one instanceof HTMLImageElement) && (one.scrollHeight > one.clientHeight + 1 || one.scrollWidth > one.clientWidth + 1);
    }).map(one => `${one.tagName} ${one.getAttribute('class') ?? ''}`);
  });

async function printed(page) {
  await page.setViewport(PAPER);
  await page.emulateMediaType('print');
}

each(
  'verdict, findings and picture',
  async one => {
    const { page } = await open(one);
    await start(page, 'Nucleus boxes');
    await told(page, 'Ready');
    for (const [view, picture] of [['Box', '.box-view'], ['Section', '.drawing img'], ['Holes', '.face'], ['Sheets', '.sheets figure svg']]) {
      await press(page, view, '.look');
      await page.waitForSelector(picture);
      if (view === 'Section') await press(page, 'Larger', '.look');
      await printed(page);
      await new Promise(done => setTimeout(done, 400));
      assert.deepEqual(await cutOff(page), [], view);
      const [title] = await seen(page, 'h1');
      assert.equal(title, 'Spring nucs');
      assert.match((await seen(page, '.verdict-text')).join(), /^Ready/);
      assert.ok((await seen(page, '.told .finding')).length >= 3);
      for (const hidden of ['button:not(.finding-title button)', 'input', 'select', '.head']) assert.deepEqual(await seen(page, hidden), [], `${view}: ${hidden}`);
      const [verdict, drawn] = await page.evaluate(picture => ['.verdict', picture].map(one => document.querySelector(one).getBoundingClientRect()).map(({ top, height, width }) => ({ top, height, width })), picture);
      assert.ok(drawn.height > 100 && drawn.width > 100, `${view}: ${drawn.width} by ${drawn.height}`);
      assert.ok(drawn.height <= PAPER.height, `${view} fits a page: ${drawn.height}`);
      assert.ok(verdict.top < drawn.top, `${view}: what matters first is first`);
      await page.emulateMediaType('screen');
      await page.setViewport({ width: 1400, height: 900 });
    }
  },
  ['chrome'],
);

each(
  'what is refused is on paper, too',
  async one => {
    const { page } = await open(one);
    await start(page, 'Nucleus boxes');
    await told(page, 'Ready');
    await enter(page, 'stock/0/thickness', '18');
    await until(page, () => document.querySelector('#verdict .verdict-text').textContent.endsWith("won't work"));
    await printed(page);
    const [first] = await seen(page, '.told .finding');
    assert.match(first, /bee space/);
    assert.deepEqual(await cutOff(page), []);
  },
  ['chrome'],
);
