// The proof on the page: every measure of the record, what is cut away, and the way from a measure to its line.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESKTOP, PHONE, jobOf, launch, open, sample } from './browser.mjs';

let browser;
const folders = {};
before(async () => {
  for (const name of ['nucs', 'nest-boxes']) folders[name] = sample(name);
  browser = await launch();
});
after(() => browser.close());

test('each program has its verdict, and every measure is there', async () => {
  for (const folder of Object.values(folders)) {
    const job = jobOf(folder);
    const { page, context, said } = await open(browser, folder);
    const verdicts = await page.locator('.verdict').allTextContents();
    assert.equal(verdicts.length, job.proof.length);
    const text = await page.locator('#proof').textContent();
    for (const [i, proof] of job.proof.entries()) {
      assert.match(verdicts[i], new RegExp(`${proof.file.replaceAll('.', '\\.')}.*proved.*${proof.measures.length} measures`, 's'));
      for (const measure of proof.measures) assert.ok(text.includes(measure.check), measure.check);
      const lines = proof.measures.filter(one => one.line !== null).map(one => `line ${one.line}`);
      const table = page.locator('.proofs').nth(i);
      assert.deepEqual(await table.locator('.to-line').allTextContents(), lines);
    }
    assert.deepEqual(said, []);
    await context.close();
  }
});

test('a measure leads to its line, and to the place where it was measured', async () => {
  for (const [name, screen] of [['nucs', { size: DESKTOP }], ['nest-boxes', { size: PHONE, deviceScaleFactor: 3, hasTouch: true, isMobile: true }]]) {
    const job = jobOf(folders[name]);
    // Without smooth scrolling, so that a click meets what it is meant for.
    const { page, context, said } = await open(browser, folders[name], { ...screen, reducedMotion: 'reduce' });
    // Closed until it is asked for.
    assert.ok(!await page.locator('.proofs').first().isVisible());
    await page.locator('#proof summary').click();
    const last = job.proof.length - 1;
    const proof = job.proof[last];
    const program = job.programs.findIndex(one => one.file === proof.file);
    for (const check of ['cut into a part', 'width of a tab', 'depth of one pass']) {
      const measure = proof.measures.find(one => one.check === check);
      await page.locator('.proofs').nth(last).locator('.to-line', { hasText: new RegExp(`^line ${measure.line}$`) }).and(page.locator(`[data-said^="${check},"]`)).click();
      assert.equal(await page.locator('#replay-program').inputValue(), String(program));
      assert.equal(await page.locator('#replay-view').getAttribute('data-line'), String(measure.line), check);
      assert.match(await page.locator('#replay-ringed').textContent(), new RegExp(check));
      assert.equal(await page.locator('.ring.is-shown').count(), 1);
      // The ring stands where the record says, y down on the picture.
      const ring = page.locator('.ring.is-shown .ring-over');
      const [x, y] = [await ring.getAttribute('cx'), await ring.getAttribute('cy')].map(Number);
      assert.ok(Math.hypot(x - measure.at[0], job.sheets[proof.sheet - 1].width - y - measure.at[1]) < 0.01);
      assert.equal(await page.evaluate(() => document.activeElement.id), 'replay-view');
    }
    // Going on from there clears the ring.
    await page.locator('#replay-play').click();
    assert.ok(await page.locator('#replay-ringed').isHidden());
    assert.deepEqual(said, []);
    await context.close();
  }
});

// Held against the record's own parts: the picture is made from the programs' text, which knows of no part.
test('on the picture every hole is cut through and no part is', async () => {
  for (const folder of Object.values(folders)) {
    const job = jobOf(folder);
    const { page, context } = await open(browser, folder);
    for (const [i, sheet] of job.sheets.entries()) {
      const holes = [];
      const wood = [];
      for (const placement of sheet.placements) {
        const part = job.parts.find(one => one.name === placement.part);
        const at = ([x, y]) => {
          const turned = { 0: [x, y], 90: [part.width - y, x], 180: [part.length - x, part.width - y], 270: [y, part.length - x] };
          const [u, v] = turned[placement.angle];
          return [placement.x + u, placement.y + v];
        };
        for (const hole of part.holes.filter(one => one.length === undefined)) {
          for (let k = 0; k < 8; k++) {
            const round = radius => at([hole.x + radius * Math.cos(k), hole.y + radius * Math.sin(k)]);
            // The browser finds strokes of small arcs to a few tenths of a millimetre only.
            holes.push(round(hole.diameter / 2 - 0.8));
            wood.push(round(hole.diameter / 2 + 0.8));
          }
        }
      }
      const within = (kind, points) => page.evaluate(([id, name, all]) => {
        const strips = [...document.querySelectorAll(`#${id} .${name}`)];
        return all.map(([x, y]) => strips.some(strip => strip.isPointInStroke(new DOMPoint(x, y))));
      }, [`proof-${i + 1}`, kind, points]);
      assert.ok(holes.length > 0 || i > 0);
      assert.ok((await within('strip-cut', holes)).every(Boolean), 'just inside its edge each hole is cut');
      const cutInto = await within('strip-cut', wood);
      assert.deepEqual(wood.filter((_, k) => cutInto[k]), [], 'just outside it nothing is');
      const through = await within('strip-through', holes);
      assert.ok(through.filter(Boolean).length >= holes.length / 2, 'and through, but for tabs');
    }
    await context.close();
  }
});

test('the proof is no paper for the bench', async () => {
  const { page, context } = await open(browser, folders.nucs);
  await page.emulateMedia({ media: 'print' });
  assert.equal(await page.locator('#proof').isVisible(), false);
  await context.close();
});
