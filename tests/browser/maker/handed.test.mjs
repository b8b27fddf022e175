// Files that are dropped on the page: it knows a spec, a profile and a list of off-cuts by what is in them.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { each, open, press, specText, told, until } from './open.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '../../..');

/** Drops a file of this name and text on the page. */
const drop = (page, name, text) =>
  page.evaluate(
    (name, text) => {
      const handed = new DataTransfer();
      handed.items.add(new File([text], name, { type: 'text/plain' }));
      const event = new DragEvent('drop', { dataTransfer: handed, bubbles: true, cancelable: true });
      document.body.dispatchEvent(event);
    },
    name,
    text,
  );

const heard = (page, words) => until(page, words => document.querySelector('.said')?.textContent.includes(words), words);
const shop = page => page.evaluate(() => JSON.parse(localStorage.getItem('nestwright')).shop);

each('a spec becomes a job, a profile and a list of off-cuts go to the shop', async one => {
  const { page, said } = await open(one);
  await page.waitForSelector('.starters button');
  const profile = readFileSync(join(root, 'profiles/machines/desktop-router.toml'), 'utf8').replace(/^title = .*/m, 'title = "The router in the shed"');
  await drop(page, 'shed-router.toml', profile);
  await heard(page, 'is a profile');
  assert.deepEqual((await shop(page)).profiles.map(({ folder, name }) => `${folder}/${name}`), ['machines/shed-router']);

  const list = readFileSync(join(root, 'out-samples/nucs/offcuts.toml'), 'utf8');
  await drop(page, 'left-over.toml', list);
  await heard(page, 'is a list of off-cuts');
  const { lists } = await shop(page);
  assert.deepEqual(lists.map(({ name }) => name), ['left-over.toml']);
  assert.equal(lists[0].text, list);

  // The spec is as it is on the disk, and the profile that was dropped before is known to it.
  const spec = readFileSync(join(root, 'out-samples/nucs/job.toml'), 'utf8');
  await drop(page, 'from-the-disk.toml', spec.replace(/^machine = "[^"]*"/m, 'machine = "shed-router"'));
  await page.waitForSelector('#verdict');
  await heard(page, 'is open as a job');
  await told(page, 'Ready');
  assert.equal(await page.$eval('#job-name', one => one.value), 'from-the-disk');
  assert.equal(await specText(page), spec.replace(/^machine = "[^"]*"/m, 'machine = "shed-router"'));
  await press(page, 'Shop');
  await page.waitForSelector('.shop');
  const known = await page.$eval('.shop', one => one.textContent);
  assert.match(known, /The router in the shed/);
  assert.match(known, /left-over\.toml/);
  assert.deepEqual(said, []);
});

each('a spec that cannot be read is kept, and says where', async one => {
  const { page } = await open(one);
  await page.waitForSelector('.starters button');
  await drop(page, 'half.toml', 'title = "half a job"\n[[box]]\nname = "x\n');
  await told(page, 'one thing');
  assert.match(await page.$eval('.told .problems', one => one.textContent), /line 3/);
  assert.match(await specText(page), /half a job/);
});
