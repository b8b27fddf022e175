// The shop: what a new job starts with, as a form; and a job that takes several boards, a check that leads to its answer.

import assert from 'node:assert/strict';
import { each, enter, open, press, specText, start, told, until, written } from './open.mjs';

const kept = page => page.evaluate(() => JSON.parse(localStorage.getItem('nestwright')));
const usual = async (page, words) => until(page, words => JSON.parse(localStorage.getItem('nestwright')).shop.usual.includes(words), words);
/** Writes into a field of the shop's form. */
const fill = async (page, path, text) => {
  const field = `.usual [data-path="${path}"] input, .usual [data-path="${path}"] select`;
  await page.waitForSelector(field);
  await page.$eval(field, one => {
    for (let at = one.parentElement; at; at = at.parentElement) if (at instanceof HTMLDetailsElement) at.open = true;
    one.focus();
    one.select?.();
  });
  await page.keyboard.type(text);
};

each('boards and prices are set once in the shop, and a new job has them', async one => {
  const { page, said } = await open(one);
  await page.waitForSelector('.starters button');
  await press(page, 'Shop');
  await page.waitForSelector('.usual .add');
  await press(page, '+ A board', '.usual');
  await usual(page, '[[stock]]');
  await fill(page, 'stock/0/thickness', '12.3');
  await usual(page, 'thickness = 12.3');
  await press(page, '+ Prices', '.usual');
  await usual(page, 'currency = "€"');
  await until(page, () => [...document.querySelectorAll('.usual button')].some(one => one.textContent.includes('A price')));
  await press(page, '+ A price', '.usual');
  await fill(page, 'cost/item/0/price', '9.5');
  await usual(page, 'price = 9.5');
  const { shop } = await kept(page);
  assert.equal(shop.usual.match(/\[\[stock\]\]/g).length, 1);
  await press(page, 'Back to the start');
  await start(page, 'Nucleus boxes');
  await told(page, 'Ready');
  const text = await specText(page);
  assert.match(text, /thickness = 12\.3/);
  assert.match(text, /price = 9\.5/);
  assert.deepEqual(said, []);
});

each('a cover from another board is one choice', async one => {
  const { page, said } = await open(one);
  await start(page, 'Nucleus boxes');
  await told(page, 'Ready');
  await press(page, '+ Another board', '.ask');
  await written(page, 'name = "board 2"');
  // The new board has the cursor.
  await until(page, () => document.activeElement.closest('[data-path]')?.dataset.path.startsWith('stock/1'));
  await enter(page, 'stock/0/name', 'walls of 12');
  await written(page, 'name = "walls of 12"');
  // The question comes when both boards have been read.
  await until(page, () => document.querySelector('[data-path="box/0/panel-stock"] input'));
  await page.$eval('[data-path="box/0/panel-stock"] input', one => {
    for (let at = one.parentElement; at; at = at.parentElement) if (at instanceof HTMLDetailsElement) at.open = true;
    one.focus();
  });
  await page.keyboard.type('cover');
  await until(page, () => !document.querySelector('[data-path="box/0/panel-stock"] button').disabled);
  await press(page, 'Make it from another board', '[data-path="box/0/panel-stock"]');
  await written(page, 'cover = "board 2"');
  await told(page, 'Ready');
  assert.deepEqual(said, []);
});

each('a bee space that is wrong leads to the answer that mends it', async one => {
  const { page } = await open(one);
  await start(page, 'Nucleus boxes');
  await told(page, 'Ready');
  await enter(page, 'box/0/side-gap', '60');
  await told(page, 'one thing won');
  const links = await page.$$eval('.told .finding-refused .link', all => all.map(one => one.textContent));
  assert.ok(links.some(text => text === 'Change it: side gap, box'), links.join('; '));
  await press(page, 'Change it: side gap', '.told');
  await until(page, () => document.activeElement.closest('[data-path]')?.dataset.path === 'box/0/side-gap');
});

each('limits are told in the units of the job', async one => {
  const { page } = await open(one);
  await start(page, 'Nest boxes');
  await told(page, 'Ready');
  const said = await page.$eval('[data-path="stock/0/thickness"] .limits', one => one.textContent);
  assert.equal(said.trim(), '(0.079 to 3.149 in)');
});
