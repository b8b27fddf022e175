// A program played back: what it cuts is gone, what it leaves is there, and its lines keep step.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { PHONE, frames, jobOf, launch, measuredNucs, open, pixels, sample } from './browser.mjs';

let browser;
let nucs;
let nests;
before(async () => {
  // Its holes are wide enough to look into between the lines of a picture.
  nucs = measuredNucs();
  nests = sample('nest-boxes');
  browser = await launch();
});
after(() => browser.close());

// Colours of the picture at places on the sheet (mm), each as red, green and blue.
async function colours(page, board, places) {
  const { width, height, data } = await pixels(page, 'replay-view');
  const scale = Math.min(width / (board.length + 40), height / (board.width + 40));
  return places.map(([x, y]) => {
    const px = Math.round(width / 2 + (x - board.length / 2) * scale);
    const py = Math.round(height / 2 - (y - board.width / 2) * scale);
    return [...data.subarray((py * width + px) * 4, (py * width + px) * 4 + 3)];
  });
}
const dark = colour => colour[0] + colour[1] + colour[2] < 120;

// Where a part's own place lies on the sheet (design: turned pieces keep their lower-left corner at x, y).
function onSheet(part, placement, [x, y]) {
  const turned = { 0: [x, y], 90: [part.width - y, x], 180: [part.length - x, part.width - y], 270: [y, part.length - x] };
  const [u, v] = turned[placement.angle];
  return [placement.x + u, placement.y + v];
}

// Places that must go, in the middle of the cutter's way just inside each round hole, and places that must stay: just
// outside it, and near a corner of each part.
function holesAndWood(job, sheet) {
  const holes = [];
  const wood = [];
  for (const placement of sheet.placements) {
    const part = job.parts.find(one => one.name === placement.part);
    for (const hole of part.holes.filter(one => one.length === undefined)) {
      const ring = radius => Array.from({ length: 16 }, (_, i) => {
        const angle = (i + 0.5) * Math.PI / 8;
        return onSheet(part, placement, [hole.x + radius * Math.cos(angle), hole.y + radius * Math.sin(angle)]);
      });
      holes.push(ring(hole.diameter / 2 - 3));
      wood.push(...ring(hole.diameter / 2 + 3));
    }
    wood.push(onSheet(part, placement, [9, 9]));
  }
  return { holes, wood };
}

// Of each hole, in how many of the places around it the wood is gone, and in how many it is at least cut past two thirds
// of its thickness: two tabs may hold what falls out of a hole, and no tab is higher than a third of a sample's sheet.
const gone = async (page, sheet, holes) => {
  const all = await colours(page, sheet, holes.flat());
  return holes.map((ring, i) => {
    const seen = all.slice(i * ring.length, (i + 1) * ring.length);
    return { through: seen.filter(dark).length, deep: seen.filter(colour => colour[0] + colour[1] + colour[2] < 300).length, of: ring.length };
  });
};

async function playToEnd(page) {
  await page.locator('#replay-speed').selectOption('200');
  await page.locator('#replay-play').click();
  await page.waitForFunction(() => document.getElementById('replay-view').dataset.playing === 'false', null, { timeout: 60_000 });
}

test('played to the end, every hole is gone and every part is there', async () => {
  for (const folder of [nucs, nests]) {
    const job = jobOf(folder);
    const { page, context, said } = await open(browser, folder, { size: { width: 1900, height: 1000 }, deviceScaleFactor: 2 });
    const sheet = job.sheets[0];
    const { holes, wood } = holesAndWood(job, sheet);
    assert.ok(holes.length > 0);
    assert.ok((await gone(page, sheet, holes)).every(hole => hole.deep === 0), 'nothing is cut yet');
    for (let i = 0; i < job.programs.length; i++) {
      if (job.programs[i].sheet !== job.programs[0].sheet) continue;
      await page.locator('#replay-program').selectOption(String(i));
      await playToEnd(page);
      const [at, all] = (await page.locator('#now-time').textContent()).split(' of ');
      assert.equal(at, all);
    }
    const cut = await gone(page, sheet, holes);
    assert.deepEqual(cut.filter(hole => hole.deep < hole.of || hole.through < hole.of / 4), [], 'every hole is cut all round');
    const left = await colours(page, sheet, wood);
    assert.deepEqual(wood.filter((_, i) => dark(left[i])), [], 'parts that are cut into');
    assert.deepEqual(said, []);
    await context.close();
  }
});

test('the line shown is the line that is run', async () => {
  const { page, context } = await open(browser, nests);
  const lines = readFileSync(join(nests, 'sheet-1.nc'), 'utf8').split('\n');
  await page.locator('#replay-time').fill('500');
  const shown = Number(await page.locator('#replay-view').getAttribute('data-line'));
  const marked = page.locator('.code-line[aria-selected="true"]');
  assert.equal(await marked.count(), 1);
  assert.equal(await marked.textContent(), `${shown}${lines[shown - 1]}`);
  assert.match(lines[shown - 1], /[XYZ]/);
  assert.equal(await page.locator('#now-line').textContent(), `${shown} of ${lines.length - 1}`);
  // The listing holds only what is in sight.
  assert.ok(await page.locator('.code-line').count() < 80);
  await context.close();
});

test('going back gives the wood back', async () => {
  const job = jobOf(nucs);
  const { page, context } = await open(browser, nucs);
  const { holes } = holesAndWood(job, job.sheets[0]);
  await page.locator('#replay-time').fill('1000');
  assert.ok((await gone(page, job.sheets[0], holes)).some(hole => hole.through > 0));
  await page.locator('#replay-time').fill('0');
  assert.ok((await gone(page, job.sheets[0], holes)).every(hole => hole.deep === 0));
  await context.close();
});

test('by keys alone: play, pause, line by line, zoom', async () => {
  const { page, context, said } = await open(browser, nucs);
  const view = page.locator('#replay-view');
  await view.focus();
  await page.keyboard.press('Space');
  assert.equal(await view.getAttribute('data-playing'), 'true');
  await frames(page, 10);
  await page.keyboard.press('Space');
  assert.equal(await view.getAttribute('data-playing'), 'false');
  await page.locator('#replay-time').fill('300');
  const line = async () => Number(await view.getAttribute('data-line'));
  await view.focus();
  const start = await line();
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowRight');
  const on = await line();
  assert.ok(on > start);
  await page.keyboard.press('ArrowLeft');
  assert.ok(await line() < on);
  const before = await view.evaluate(canvas => canvas.toDataURL());
  await page.keyboard.press('+');
  await frames(page, 2);
  assert.notEqual(await view.evaluate(canvas => canvas.toDataURL()), before);
  assert.ok((await page.locator('#replay-say').textContent()).startsWith('Line '));
  assert.deepEqual(said, []);
  await context.close();
});

test('a click on a line goes there', async () => {
  const { page, context } = await open(browser, nests);
  await page.locator('#replay-goto').selectOption({ index: 20 });
  const line = page.locator('.code-line:not(.code-comment)').nth(12);
  const number = Number(await line.getAttribute('data-line')) + 1;
  await line.click();
  const shown = Number(await page.locator('#replay-view').getAttribute('data-line'));
  assert.ok(shown >= number && shown < number + 6, `${shown} for ${number}`);
  await context.close();
});

test('places to go to bear the tool that is put in, or what is cut next', async () => {
  for (const folder of [nucs, nests]) {
    const { page, context } = await open(browser, folder);
    const named = await page.locator('#replay-goto option').allTextContents();
    assert.match(named[0], /^1 {2}tool \d+: /, named[0]);
    assert.ok(named.length > 2 && named.every(name => !name.includes('the change itself')), named.join('; '));
    await context.close();
  }
});

test('for those who asked for less motion it goes by operations', async () => {
  const { page, context } = await open(browser, nucs, { reducedMotion: 'reduce', size: PHONE });
  await page.locator('#replay-play').click();
  const first = await page.locator('#now-time').textContent();
  await frames(page, 5);
  assert.equal(await page.locator('#now-time').textContent(), first, 'it stands between two pictures');
  await page.waitForFunction(before => document.getElementById('now-time').textContent !== before, first, { timeout: 5000 });
  await context.close();
});
