// A part chosen in one place is shown in all: the cut list, the sheets, the box, the holes.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { frames, jobOf, launch, measuredNucs, open, pixels } from './browser.mjs';

let browser;
let folder;
let job;
before(async () => {
  folder = measuredNucs();
  job = jobOf(folder);
  browser = await launch();
});
after(() => browser.close());

const indexOf = name => job.parts.findIndex(part => part.name === name);

// Pixels of the box's picture that are nearer to orange than wood ever is.
async function chosenPixels(page) {
  const { data } = await pixels(page, 'box-view');
  let count = 0;
  for (let i = 0; i < data.length; i += 4) if (data[i + 3] > 200 && data[i] - data[i + 2] > 90) count++;
  return count;
}

test('from the cut list to the sheet and the box, and back to nothing', async () => {
  const { page, context, said } = await open(browser, folder);
  const side = indexOf('side');
  assert.equal(await chosenPixels(page), 0);
  await page.locator(`[data-choose="${side}"].pick`).click();
  await frames(page, 2);
  assert.equal(await page.locator(`[data-choose="${side}"].pick`).getAttribute('aria-pressed'), 'true');
  const sheets = [...job.sheets, ...(job.saw ? job.saw.sheets : [])];
  const placed = sheets.flatMap(sheet => sheet.placements).filter(placement => placement.part === 'side').length;
  assert.equal(await page.locator('.piece.is-chosen').count(), placed);
  assert.ok(await chosenPixels(page) > 2000, 'the side is seen in the box');
  assert.match(await page.locator('#chosen-text').textContent(), /side: cut 8/);
  const ways = ['box', 'list', 'sheet 1', ...(job.saw ? ['saw sheet 1'] : []), 'drawing'];
  assert.deepEqual(await page.locator('#chosen-ways a').allTextContents(), ways);
  await page.keyboard.press('Escape');
  await frames(page, 2);
  assert.equal(await page.locator('.is-chosen').count(), 0);
  assert.equal(await chosenPixels(page), 0);
  assert.ok(await page.locator('#chosen').isHidden());
  assert.deepEqual(said, []);
  await context.close();
});

test('from the sheet', async () => {
  const { page, context } = await open(browser, folder);
  const floor = indexOf('floor');
  await page.locator(`.piece[data-part="${floor}"]`).first().click();
  assert.ok(await page.locator(`#part-${floor + 1}.is-chosen`).isVisible());
  await context.close();
});

test('from the box: what is tapped in the middle of it is chosen', async () => {
  const { page, context } = await open(browser, folder);
  await page.getByRole('button', { name: 'Front', exact: true }).click();
  await frames(page, 3);
  const view = await page.locator('#box-view').boundingBox();
  await page.mouse.click(view.x + view.width / 2, view.y + view.height * 0.62);
  assert.equal(await page.locator('tr.is-chosen .pick').textContent(), 'front');
  assert.ok(await page.locator('.face.is-chosen').first().isVisible(), 'its holes are marked, too');
  await context.close();
});

test('dragging turns the box and chooses nothing', async () => {
  const { page, context } = await open(browser, folder);
  const picture = () => page.evaluate(() => document.getElementById('box-view').toDataURL());
  const before = await picture();
  const view = await page.locator('#box-view').boundingBox();
  await page.mouse.move(view.x + view.width / 2, view.y + view.height / 2);
  await page.mouse.down();
  await page.mouse.move(view.x + view.width / 2 + 120, view.y + view.height / 2 + 10, { steps: 6 });
  await page.mouse.up();
  await frames(page, 2);
  assert.notEqual(await picture(), before);
  assert.equal(await page.locator('.is-chosen').count(), 0);
  await context.close();
});

// Seen from the front and taken apart, a box is wider and taller than before, so each of its walls is drawn smaller.
test('the slider takes the box apart along its contacts', async () => {
  const { page, context } = await open(browser, folder);
  // Pieces of wood with air between them, along the row through the middle of the picture.
  const parts = async () => {
    const { data, width, height } = await pixels(page, 'box-view');
    const wood = x => data[(Math.floor(height / 2) * width + x) * 4 + 3] > 0;
    let runs = 0;
    for (let x = 1; x < width; x++) if (wood(x) && !wood(x - 1)) runs++;
    return runs;
  };
  await page.getByRole('button', { name: 'Front', exact: true }).click();
  await frames(page, 3);
  assert.equal(await parts(), 1, 'one box');
  await page.locator('#box-apart').focus();
  await page.keyboard.press('End');
  await frames(page, 3);
  assert.equal(await page.locator('#box-apart').getAttribute('aria-valuetext'), 'fully apart');
  assert.ok(await parts() >= 3, 'left, middle and right stand apart');
  await context.close();
});

test('by keyboard: one stop for a sheet, arrow keys from piece to piece, Enter to choose', async () => {
  const { page, context, said } = await open(browser, folder);
  const piece = page.locator('#sheet-1 .piece');
  assert.equal(await page.locator('#sheet-1 .piece[tabindex="0"]').count(), 1);
  await piece.first().focus();
  await page.keyboard.press('ArrowRight');
  const part = Number(await piece.nth(1).getAttribute('data-part'));
  assert.equal(await page.evaluate(() => document.activeElement.getAttribute('data-part')), String(part));
  await page.keyboard.press('Enter');
  assert.match(await page.locator('#chosen-text').textContent(), new RegExp(`^${part + 1} `));
  assert.equal(await page.locator('#sheet-1 .piece[tabindex="0"]').count(), 1);
  assert.deepEqual(said, []);
  await context.close();
});
