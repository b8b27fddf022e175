// Answers as a newcomer gives them: in haste, half, taken back, at the wrong place. None is lost, and each leads on.

import assert from 'node:assert/strict';
import { cursor, each, enter, open, press, specText, start, told, until, written } from './open.mjs';

const wrongAt = (page, path) => page.$$eval(`[data-path="${path}"] .wrong`, all => all.map(one => one.textContent).join(' '));
const findings = page => page.$$eval('.told .findings > .finding', all => all.map(one => one.className));

each('an answer that is corrected while the last one is still being tried leaves nothing behind', async one => {
  const { page, said } = await open(one);
  await start(page, 'Nucleus boxes');
  await told(page, 'Ready');
  for (let i = 0; i < 3; i++) {
    await enter(page, 'box/0/frames', '6');
    // Its parts are about to be tried when the next key comes.
    await told(page, 'It fits');
    await page.keyboard.type('0');
    await told(page, "one thing can't be read");
    // Long enough for whatever was on its way to come back.
    await new Promise(done => setTimeout(done, 2500));
    await until(page, () => document.querySelector('#verdict .verdict-text').textContent.startsWith("one thing can't be read"));
    assert.equal(await page.$$eval('.told .problems li', all => all.length), 1);
  }
  await enter(page, 'box/0/frames', '5');
  await told(page, 'Ready');
  assert.equal(await page.$$eval('.told .problems li', all => all.length), 0);
  assert.deepEqual(said, []);
});

each('a field stays under the hand that fills or empties it', async one => {
  const { page } = await open(one);
  await start(page, 'Nest boxes');
  await told(page, 'Ready');
  await enter(page, 'box/0/back-plate', 'true');
  await written(page, 'back-plate = true');
  await enter(page, 'box/0/side-overhang', '1');
  await written(page, 'side-overhang = 1');
  // What holds unless given is out of the text now, and the field is still there.
  await page.keyboard.type(' 1/4');
  await written(page, 'side-overhang = "1 1/4"');
  assert.equal(await cursor(page), 'box/0/side-overhang');
  await enter(page, 'box/0/slope', '1');
  await page.keyboard.press('Backspace');
  await until(page, () => !/^slope/m.test(JSON.parse(localStorage.getItem('nestwright')).jobs[0].text));
  await new Promise(done => setTimeout(done, 500));
  await page.keyboard.type('20');
  await written(page, 'slope = 20');
  assert.equal(await cursor(page), 'box/0/slope');
});

each('what cannot be read says so in the words of the form, and leads to its field', async one => {
  const { page } = await open(one);
  await start(page, 'Nucleus boxes');
  await told(page, 'Ready');
  await enter(page, 'box/0/frames', '5');
  await page.keyboard.press('Backspace');
  await told(page, "one thing can't be read");
  assert.equal(await wrongAt(page, 'box/0/frames'), 'needed: 1 to 40, or compartments');
  await page.evaluate(() => document.querySelector('.ask').scrollTo(0, 9999));
  await press(page, 'frames, box', '.told .problems');
  await until(page, () => document.activeElement.closest('[data-path]')?.dataset.path === 'box/0/frames');
  await page.keyboard.type('5');
  await told(page, 'Ready');
  await enter(page, 'stock/0/price', '42,50');
  await told(page, "one thing can't be read");
  assert.match(await wrongAt(page, 'stock/0/price'), /a point, not a comma/);
  await enter(page, 'stock/0/price', '42.50 €');
  await until(page, () => /without a sign/.test(document.querySelector('[data-path="stock/0/price"]').textContent));
  await enter(page, 'stock/0/price', '42.50');
  await told(page, 'Ready');
  // One of two numbers is not enough.
  await enter(page, 'stock/0/size', '2');
  await page.keyboard.press('Backspace');
  await told(page, "one thing can't be read");
  assert.match(await wrongAt(page, 'stock/0/size'), /needed: length and width/);
});

each('what stops a job is told before what is only to be looked at', async one => {
  const { page } = await open(one);
  await start(page, 'Nucleus boxes');
  await told(page, 'Ready');
  await enter(page, 'stock/0/thickness', '18');
  await until(page, () => document.querySelector('.thickness .said').textContent.startsWith('18 mm does not work here; from'));
  await enter(page, 'box/0/hole/0/up', '245');
  await until(page, () => /^\d+ things won't work/.test(document.querySelector('#verdict .verdict-text').textContent));
  const all = await findings(page);
  const refused = all.filter(one => one.includes('finding-refused')).length;
  assert.ok(refused > 1 && refused < all.length, all.join());
  assert.ok(all.slice(0, refused).every(one => one.includes('finding-refused')), all.join());
});

each('a new hole or recess lies on the wood, in the units of the job, and is there to be changed', async one => {
  const { page } = await open(one);
  await start(page, 'Trays');
  await told(page, 'Ready');
  await press(page, '+ A recess', '.ask');
  await until(page, () => document.activeElement.closest('[data-path]')?.dataset.path === 'box/0/pocket/0/panel');
  await told(page, 'Ready');
  // Off the wood it is told where it is asked.
  await enter(page, 'box/0/pocket/0/up', '900');
  await told(page, "one thing can't be read");
  assert.ok(await page.$$eval('.ask .wrong', all => all.some(one => one.textContent.includes('off the wood'))));
  await press(page, 'Undo');
  await told(page, 'Ready');
  const { page: inches } = await open(one);
  await start(inches, 'Nest boxes');
  await told(inches, 'Ready');
  await press(inches, '+ A hole', '.ask');
  await until(inches, () => document.activeElement.closest('[data-path]')?.dataset.path === 'box/0/hole/1/panel');
  await written(inches, 'diameter = "3/4 in"');
  assert.doesNotMatch((await specText(inches)).split('[[box.hole]]')[2], /mm/);
});

each('of a diameter and a slot the one written last holds', async one => {
  const { page } = await open(one);
  await start(page, 'Nucleus boxes');
  await told(page, 'Ready');
  await enter(page, 'box/0/hole/0/slot', '60');
  await written(page, 'slot = [60, ""]');
  await page.keyboard.press('Tab');
  await page.keyboard.type('9');
  await written(page, 'slot = [60, 9]');
  await told(page, 'Ready');
  const hole = (await specText(page)).split('[[box.hole]]')[1];
  assert.match(hole, /slot = \[60, 9\]/);
  assert.doesNotMatch(hole, /diameter/);
});

each('a box that goes takes no other with it, and another can be added', async one => {
  const { page } = await open(one);
  await start(page, 'A hive body');
  await told(page, 'Ready');
  assert.match(await specText(page), /stands-on/);
  await page.evaluate(() => [...document.querySelectorAll('.ask button')].find(one => one.textContent.endsWith(': brood body')).click());
  await until(page, () => document.querySelectorAll('.ask [data-path="box/1/name"]').length === 0);
  await told(page, 'Ready');
  assert.doesNotMatch(await specText(page), /^stands-on/m);
  await press(page, '+ Another box', '.ask');
  await until(page, () => document.activeElement.closest('[data-path]')?.dataset.path.startsWith('box/1/'));
  await told(page, 'Ready');
  assert.match(await specText(page), /name = "box 2"/);
});

each('a price is asked for, not made up', async one => {
  const { page } = await open(one);
  await start(page, 'Trays');
  await told(page, 'Ready');
  await press(page, '+ Reckon', '.ask');
  // Who goes on at once keeps the cursor, however late the new table comes.
  await enter(page, 'stock/0/price', '20');
  await until(page, () => document.querySelector('.costs .sum'));
  assert.equal(await cursor(page), 'stock/0/price');
  await press(page, '+ A price', '.ask');
  await until(page, () => document.activeElement.closest('[data-path]')?.dataset.path === 'cost/item/0/price');
  assert.match(await specText(page), /\[\[cost\.item\]\]\nname = "brad-1"/);
  await page.keyboard.type('0.03');
  await told(page, 'Ready');
  assert.match(await specText(page), /price = 0\.03/);
});

each('another page begins at its top', async one => {
  const { page } = await open(one, { size: { width: 360, height: 740, hasTouch: true } });
  await start(page, 'Trays');
  await told(page, 'Ready');
  await page.evaluate(() => scrollTo(0, 2000));
  await press(page, 'Shop');
  await page.waitForSelector('.shop');
  await until(page, () => scrollY === 0);
});

each('a board in the box and a place on the sheet are asked for', async one => {
  const { page } = await open(one);
  await start(page, 'Nucleus boxes');
  await told(page, 'Ready');
  await press(page, '+ A place to keep out', '.ask');
  await until(page, () => document.activeElement.closest('[data-path]')?.dataset.path.startsWith('stock/0/keep-out/0'));
  await written(page, '[[stock.keep-out]]');
  await told(page, 'Ready');
  await until(page, () => document.querySelector('.look').textContent.includes('clamp') || document.querySelector('.costs'));
  await press(page, '+ A board in the box', '.ask');
  await written(page, '[[box.board]]');
  await until(page, () => document.activeElement.closest('[data-path]')?.dataset.path.startsWith('box/0/board/0'));
  const text = await specText(page);
  assert.match(text, /between = \["front", "back"\]/);
  assert.match(text, /why = "clamp"/);
});
