// Steps are ticked off, and stay so when the page is opened again; where the browser keeps nothing, the page still works.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { frames, jobOf, launch, make, open, pixels } from './browser.mjs';

const SPEC = `
title = "Nucs by hand"
units = "in"
stock = { material = "softwood-plywood", size = [96, 48], thickness = 0.472 }
saw = { kerf = "1/8" }
[[box]]
name = "five-frame nuc"
kind = "frame-box"
count = 2
frame = "langstroth-deep"
frames = 5
`;

let browser;
let folder;
let job;
before(async () => {
  folder = make('by-hand', SPEC);
  job = jobOf(folder);
  browser = await launch();
});
after(() => browser.close());

const ticked = page => page.locator('#saw input:checked').count();

test('every saw step is there, with its cautions and its cut on the sheet', async () => {
  const { page, context, said } = await open(browser, folder);
  const cuts = job.saw.sheets.flatMap(sheet => sheet.cuts);
  assert.equal(await page.locator('#saw .saw-bench input').count(), cuts.length);
  for (const cut of cuts.slice(0, 5)) {
    const step = page.locator(`#saw li:has(input[data-tick="saw-${cut.step}"])`);
    const words = (await step.textContent()).replace(/\s+/g, ' ');
    assert.ok(words.includes(cut.text), cut.text);
    assert.equal(await step.locator('.step-care li').count(), cut.cautions.length);
    assert.equal(await page.locator(`#mark-saw-${cut.step} .saw-line`).count(), 1);
  }
  for (const caution of job.saw.before) assert.ok((await page.locator('#saw .caution-note').textContent()).includes(caution));
  assert.deepEqual(said, []);
  await context.close();
});

test('a tick stays when the page is loaded again, and goes when it is taken away', async () => {
  const { page, context, said } = await open(browser, folder);
  const first = page.locator('input[data-tick="saw-1"]');
  await first.check();
  await page.locator('input[data-tick="saw-2"]').focus();
  await page.keyboard.press('Space');
  assert.match(await page.locator('#saw .ticks-said').first().textContent(), /^2 of \d+ done$/);
  await page.reload();
  await frames(page, 2);
  assert.equal(await ticked(page), 2);
  assert.ok(await page.locator('#mark-saw-3.is-next').count() === 1, 'the next cut is marked on the sheet');
  assert.ok(await page.locator('#mark-saw-1.is-done').count() === 1);
  await page.locator('#saw [data-ticks-clear]').first().click();
  await page.reload();
  await frames(page, 2);
  assert.equal(await ticked(page), 0);
  assert.deepEqual(said, []);
  await context.close();
});

test('another job starts with clean boxes', async () => {
  const { page, context } = await open(browser, folder);
  await page.locator('input[data-tick="saw-1"]').check();
  const other = make('by-hand-too', SPEC.replace('count = 2', 'count = 3'));
  await page.goto(`file://${other}/job.html`);
  assert.equal(await ticked(page), 0);
  await page.goto(`file://${folder}/job.html`);
  assert.equal(await ticked(page), 1);
  await context.close();
});

for (const [how, script] of [
  ['is denied', 'Object.defineProperty(window, "localStorage", { get() { throw new DOMException("denied", "SecurityError"); } })'],
  ['holds nonsense', 'Storage.prototype.getItem = () => "{\\"a\\": 1"'],
  ['is full', 'Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); }'],
]) {
  test(`where storage ${how}, ticking still works`, async () => {
    const { page, context, said } = await open(browser, folder, { script });
    await page.locator('input[data-tick="saw-1"]').check();
    assert.equal(await ticked(page), 1);
    assert.match(await page.locator('#saw .ticks-said').first().textContent(), /^1 of \d+ done/);
    if (how !== 'holds nonsense') assert.match(await page.locator('#saw .ticks-said').first().textContent(), /will not remember/);
    assert.deepEqual(said, []);
    await context.close();
  });
}

test('the box grows with the steps that are ticked', async () => {
  const { page, context, said } = await open(browser, folder);
  const build = page.locator('#assembly .build').first();
  const steps = job.steps[0].steps;
  assert.equal(await build.locator('input[data-tick]').count(), steps.length);
  const words = (await build.textContent()).replace(/\s+/g, ' ');
  for (const text of [...job.steps[0].cautions, ...steps.flatMap(step => step.text)]) assert.ok(words.includes(text), text);
  const wood = async () => {
    await frames(page, 2);
    const { data } = await pixels(page, 'a-build-view');
    let count = 0;
    for (let i = 3; i < data.length; i += 4) if (data[i] > 200) count++;
    return count;
  };
  await page.evaluate(() => { document.querySelector('.build-view').id = 'a-build-view'; });
  const view = build.locator('.build-view');
  assert.equal(await view.getAttribute('data-step'), '1');
  assert.ok(await wood() > 500, 'the first part lies there');
  await build.locator('input[data-tick]').nth(0).check();
  assert.equal(await view.getAttribute('data-step'), '2');
  await build.locator('[data-build-on]').click();
  assert.equal(await view.getAttribute('data-step'), '3');
  const names = steps[2].adds.map(panel => job.steps[0].panels[panel]).join(', ');
  assert.equal(await build.locator('.build-said').textContent(), `Step 3${names && `: ${names}`}`);
  await page.reload();
  await frames(page, 2);
  assert.equal(await view.getAttribute('data-step'), '2');
  assert.deepEqual(said, []);
  await context.close();
});
