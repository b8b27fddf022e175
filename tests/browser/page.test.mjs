// The page opens from the disk, whole, quietly, on any screen, for any eyes and hands.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { after, before, describe, test } from 'node:test';
import { DESKTOP, PHONE, frames, jobOf, launch, measuredNucs, open, sample } from './browser.mjs';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const SCREENS = [
  ['a desktop by day', 'nucs', { size: DESKTOP, colorScheme: 'light' }],
  ['a desktop by night', 'supers', { size: DESKTOP, colorScheme: 'dark' }],
  ['a phone by day', 'nest-boxes', { size: PHONE, colorScheme: 'light', deviceScaleFactor: 3, hasTouch: true, isMobile: true }],
  ['a phone by night', 'bait-hives', { size: PHONE, colorScheme: 'dark', deviceScaleFactor: 3, hasTouch: true, isMobile: true }],
];

let browser;
const folders = {};
before(async () => {
  folders.measured = measuredNucs();
  for (const name of ['nucs', 'nest-boxes', 'supers', 'bat-roosts', 'bait-hives', 'national-nuc']) folders[name] = sample(name);
  browser = await launch();
});
after(() => browser.close());

// Each screen is held against the accessibility rules with a sample of its own.
for (const [name, ruled, screen] of SCREENS) {
  describe(name, () => {
    test('opens without a word on the console, and nothing sticks out', async () => {
      for (const folder of Object.values(folders)) {
        const { page, context, said } = await open(browser, folder, screen);
        assert.deepEqual(said, []);
        const [wide, seen] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
        // A phone makes room for what sticks out by showing everything smaller.
        assert.ok(wide <= screen.size.width && seen === screen.size.width, `${folder} is ${wide} wide, seen ${seen}, on ${screen.size.width}`);
        const parts = await page.locator('#cut-list tr[data-part]').count();
        assert.equal(parts, jobOf(folder).parts.length);
        await context.close();
      }
    });

    // axe-core's rules for WCAG 2.2 A and AA, and its best practices.
    test('passes the accessibility rules', async () => {
      for (const folder of [folders[ruled]]) {
        const { page, context } = await open(browser, folder, { ...screen, bypassCSP: true });
        await page.locator('.pick').first().click();
        await page.evaluate(axe);
        const found = await page.evaluate(() => window.axe.run(document));
        const faults = found.violations.map(one => `${one.id}: ${one.nodes.slice(0, 3).map(node => node.html.slice(0, 160)).join(' | ')}`);
        assert.deepEqual(faults, []);
        assert.ok(found.passes.length > 20, 'the rules were run');
        await context.close();
      }
    });

    test('every control is a thumb wide', async () => {
      const { page, context } = await open(browser, folders.nucs, screen);
      const small = await page.evaluate(() => [...document.querySelectorAll('button, select, .tick, .files a, .rail a')]
        .filter(element => element.offsetParent !== null)
        .map(element => [element.textContent.trim().slice(0, 20), element.getBoundingClientRect()])
        .filter(([, box]) => box.height < 44 || box.width < 24)
        .map(([text, box]) => `${text}: ${box.width} × ${box.height}`));
      assert.deepEqual(small, []);
      await context.close();
    });
  });
}

// Figures that stand on two lines, with what is around them. Told by where the browser puts them, whatever is written between.
const broken = page => page.evaluate(() => {
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const [found, range] = [[], document.createRange()];
  let [text, figures] = [texts.nextNode(), 0];
  for (; text; text = texts.nextNode()) {
    for (const figure of text.data.matchAll(/\d(\s\d+\/\d+)?\s(mm|in|kg|lb|min|%|m|ft)\b/g)) {
      range.setStart(text, figure.index);
      range.setEnd(text, figure.index + figure[0].length);
      const lines = new Set([...range.getClientRects()].map(box => Math.round(box.top)));
      figures += lines.size > 0;
      if (lines.size > 1) found.push(text.data.slice(Math.max(0, figure.index - 20), figure.index + 12));
    }
  }
  return { found, figures };
});

for (const width of [320, 360, 390]) {
  test(`no figure stands on another line than its unit, on a screen of ${width}`, async () => {
    for (const folder of Object.values(folders)) {
      const { page, context } = await open(browser, folder, { size: { width, height: 800 } });
      const { found, figures } = await broken(page);
      assert.deepEqual(found, [], folder);
      assert.ok(figures > 50, `${figures} figures in ${folder}`);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= width, `${folder} is ${wide} wide on ${width}`);
      await context.close();
    }
  });
}

// Parts of the box are the colour of wood by night, too, and the page behind them is dark.
test('night is dark', async () => {
  const shade = async scheme => {
    const { page, context } = await open(browser, folders.nucs, { colorScheme: scheme });
    const rgb = await page.evaluate(() => getComputedStyle(document.body).backgroundColor.match(/\d+/g).map(Number));
    await context.close();
    return rgb.reduce((a, b) => a + b) / 3;
  };
  assert.ok(await shade('light') > 200);
  assert.ok(await shade('dark') < 50);
});

test('without its script it still has every list', async () => {
  const { page, context } = await open(browser, folders.nucs, { javaScriptEnabled: false, still: true });
  for (const shown of ['#cut-list tbody tr', '.sheet .piece', '.finding', '.face', '.files a']) {
    assert.ok(await page.locator(shown).first().isVisible(), shown);
  }
  assert.ok(!await page.locator('#replay').isVisible());
  await context.close();
});

test('prints the lists and plans, and leaves out what has to be pressed', async () => {
  const { page, context, said } = await open(browser, folders.nucs, { colorScheme: 'dark' });
  await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
  await frames(page, 2);
  for (const shown of ['#cut-list', '.sheet', '#checks .finding-caution', '#programs .caution-note', '#saw .steps', '#assembly .steps']) {
    assert.ok(await page.locator(shown).first().isVisible(), shown);
  }
  for (const hidden of ['.rail', '#replay', '#box .controls', '#holes', '#proof', '#cost', '.closed']) assert.ok(!await page.locator(hidden).first().isVisible(), hidden);
  const paper = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  assert.equal(paper, 'rgb(255, 255, 255)');
  // A heading holds as much room under it as the first of what follows, so that it is not the last thing on a page.
  for (const heading of ['.theme > h3', '#assembly h3', '#assembly h4']) {
    const held = await page.locator(heading).first().evaluate(it => {
      const style = getComputedStyle(it, '::after');
      return [parseFloat(style.height) / parseFloat(getComputedStyle(document.body).fontSize), style.display, getComputedStyle(it).breakInside];
    });
    assert.ok(held[0] >= 5 && held[1] === 'block' && held[2] === 'avoid', `${heading}: ${held}`);
  }
  assert.deepEqual(said, []);
  await context.close();
});

// Sizes of ISO 216 and ANSI Y14.1, in points of 1/72 inch and in a browser's pixels of 1/96 inch.
const PAPERS = { A4: [210, 297].map(mm => mm / 25.4), Letter: [8.5, 11] };
const MARGIN = 12 / 25.4;

for (const [format, inches] of Object.entries(PAPERS)) {
  test(`prints on ${format}, inside its margins and on no more paper than it needs`, async () => {
    for (const folder of Object.values(folders)) {
      const { page, context, said } = await open(browser, folder);
      const pdf = (await page.pdf({ format, printBackground: true })).toString('latin1');
      const boxes = [...pdf.matchAll(/\/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]/g)];
      const pages = pdf.match(/\/Type\s*\/Page\b/g).length;
      assert.equal(boxes.length, pages);
      for (const box of boxes) {
        for (const side of [0, 1]) assert.ok(Math.abs(Number(box[side + 1]) - inches[side] * 72) < 1.5, box[0]);
      }
      const job = jobOf(folder);
      // Seven pages for what every job has (box, lists, sheets, holes, proof, assembly, cost), and eight checks or steps on
      // each of the rest: six was enough for one sample without margins.
      const most = 7 + (job.findings.length + (job.saw ? job.saw.steps : 0)) / 8;
      assert.ok(pages >= 3 && pages <= most, `${pages} pages, at most ${most} wanted`);
      // Laid out as wide as the paper between its margins, nothing stands out on the right.
      const width = Math.floor((inches[0] - 2 * MARGIN) * 96);
      await page.setViewportSize({ width, height: 900 });
      await page.emulateMedia({ media: 'print' });
      await frames(page, 2);
      const wide = await page.evaluate(() => [...document.querySelectorAll('body *')]
        .filter(one => one.checkVisibility() && !one.closest('.unseen, svg, [hidden]'))
        .map(one => [Math.round(one.getBoundingClientRect().right), `${one.tagName} ${one.id} ${one.className}`])
        .filter(([right]) => right > innerWidth));
      assert.deepEqual(wide, []);
      assert.deepEqual(said, []);
      await context.close();
    }
  });
}
