// From nothing to a folder: the same bytes as the command writes, in both browsers.

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, relative } from 'node:path';
import { after, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { BROWSERS, enter, folderOf, launch, open, press, specText, start, told, until } from './open.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '../../..');
const program = process.env.NESTWRIGHT || join(root, 'target/release/nestwright');
const work = mkdtempSync(join(tmpdir(), 'nestwright-maker-'));
after(() => rmSync(work, { recursive: true, force: true }));

/** What the command writes for a spec. */
function commanded(name, spec) {
  rmSync(join(work, name), { recursive: true, force: true });
  const file = join(work, `${name}.toml`);
  writeFileSync(file, spec);
  execFileSync(program, ['--quiet', 'make', file, '-o', join(work, name)]);
  const files = {};
  const read = folder => {
    for (const entry of readdirSync(folder, { withFileTypes: true })) {
      const path = join(folder, entry.name);
      if (entry.isDirectory()) read(path);
      else files[relative(join(work, name), path)] = readFileSync(path);
    }
  };
  read(join(work, name));
  return files;
}

function same(zip, name, files) {
  const names = Object.keys(zip).map(path => path.replace(`${name}/`, '')).sort();
  assert.deepEqual(names, Object.keys(files).sort());
  for (const file of names) assert.ok(Buffer.from(zip[`${name}/${file}`]).equals(files[file]), `${file} has other bytes`);
}

for (const browser of BROWSERS) {
  test(`${browser}: a box is picked and made, the folder is the command's`, { timeout: 600_000 }, async () => {
    const one = await launch(browser);
    try {
      for (const [title, name] of [['Nucleus boxes', 'nuc'], ['Nest boxes', 'nest-box'], ['A hive body', 'super']]) {
        const { page, context, said } = await open(one);
        const began = Date.now();
        await start(page, title);
        await told(page, 'Ready');
        const ready = Date.now() - began;
        await press(page, 'Make the folder');
        await page.waitForSelector('.folder');
        console.log(`${browser}: ${name} from the pick to its plan ${ready} ms, to its folder ${Date.now() - began} ms`);
        same(await folderOf(page), name, commanded(name, await specText(page)));
        assert.deepEqual(said, []);
        await context.close();
      }
    } finally {
      await one.close();
    }
  });

  test(`${browser}: every sample's spec makes the command's folder`, { timeout: 900_000 }, async () => {
    const one = await launch(browser);
    try {
      for (const name of readdirSync(join(root, 'out-samples'))) {
        const spec = readFileSync(join(root, 'out-samples', name, 'job.toml'), 'utf8');
        const { page, context, said } = await open(one);
        await start(page, 'Trays');
        await page.evaluate(() => document.querySelector('.ask .toggle button:last-child').click());
        await page.waitForSelector('#spec-text');
        await page.evaluate(text => {
          const area = document.querySelector('#spec-text');
          area.value = text;
          area.dispatchEvent(new Event('input', { bubbles: true }));
        }, spec);
        await page.evaluate(name => {
          const field = document.querySelector('#job-name');
          field.value = name;
          field.dispatchEvent(new Event('change', { bubbles: true }));
        }, name);
        await until(page, () => !document.querySelector('#verdict .verdict-text').textContent.startsWith('Ready'));
        await told(page, 'Ready');
        await press(page, 'Make the folder');
        await page.waitForSelector('.folder');
        same(await folderOf(page), name, commanded(name, spec));
        assert.deepEqual(said, []);
        await context.close();
      }
    } finally {
      await one.close();
    }
  });

  test(`${browser}: checks follow typing, and the first layout comes soon`, { timeout: 300_000 }, async () => {
    const one = await launch(browser);
    try {
      for (const [title, path, values] of [
        ['Nucleus boxes', 'stock/0/thickness', ['12', '12.3', '11.9', '12.4', '12.2']],
        ['Nest boxes', 'stock/0/thickness', ['0.47', '0.475', '0.48', '0.465', '0.46']],
        ['A hive body', 'stock/0/thickness', ['0.74', '0.75', '0.76', '0.73', '0.72']],
      ]) {
        const { page, context } = await open(one);
        await start(page, title);
        await told(page, 'Ready');
        const times = [];
        for (const value of values) {
          await enter(page, path, value);
          await until(page, () => !document.querySelector('#verdict .verdict-text').textContent.startsWith('Ready'));
          await told(page, 'Ready');
          times.push(await page.evaluate(() => JSON.parse(document.querySelector('.bench').dataset.took)));
        }
        const middle = key => times.map(time => time[key]).sort((a, b) => a - b)[2];
        console.log(`${browser}: ${title}: from a keystroke to its checks ${middle('look').toFixed(0)} ms, to the first layout ${middle('plan').toFixed(0)} ms (middle of five)`);
        await context.close();
      }
    } finally {
      await one.close();
    }
  });
}
