// The page at work: fields and text are one, mistakes stand at their field, holes are dragged, thickness slides, nothing is lost.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { BROWSERS, DESK, enter, launch, open, PHONE, press, specText, start, told, until } from './open.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const axe = readFileSync(join(here, '../node_modules/axe-core/axe.min.js'), 'utf8');

const field = (page, path) => page.evaluate(path => document.querySelector(`[data-path="${path}"] input, [data-path="${path}"] select`)?.value, path);

async function asText(page, text) {
  await press(page, 'Text', '.ask');
  await page.waitForSelector('#spec-text');
  await page.evaluate(text => {
    const area = document.querySelector('#spec-text');
    area.value = text;
    area.dispatchEvent(new Event('input', { bubbles: true }));
  }, text);
}

for (const browser of BROWSERS) {
  const each = (name, work) =>
    test(`${browser}: ${name}`, { timeout: 300_000 }, async () => {
      const one = await launch(browser);
      try {
        await work(one);
      } finally {
        await one.close();
      }
    });

  each('form and text are one, and comments stay', async one => {
    const { page, said } = await open(one);
    await start(page, 'Nucleus boxes');
    await enter(page, 'box/0/frames', '6');
    await until(page, () => JSON.parse(localStorage.getItem('nestwright')).jobs[0].text.includes('frames = 6'));
    const text = await specText(page);
    assert.match(text, /thickness = 12\.1 +# measure it with calipers/);
    await asText(page, text.replace('frames = 6', 'frames = 4 # four'));
    await press(page, 'Questions', '.ask');
    await until(page, () => document.querySelector('[data-path="box/0/frames"] input')?.value === '4');
    await enter(page, 'box/0/frames', '5');
    await until(page, () => JSON.parse(localStorage.getItem('nestwright')).jobs[0].text.includes('frames = 5 # four'));
    assert.deepEqual(said, []);
  });

  each('a mistake stands at its field with what would do, and can be undone', async one => {
    const { page } = await open(one);
    await start(page, 'Nucleus boxes');
    await told(page, 'Ready');
    await enter(page, 'stock/0/thickness', '1x');
    await told(page, "one thing can't be read");
    const wrong = await page.$eval('[data-path="stock/0/thickness"] .wrong', one => one.textContent);
    assert.match(wrong, /length/);
    await press(page, 'Undo');
    await told(page, 'Ready');
    assert.equal(await field(page, 'stock/0/thickness'), '12.1');
    await press(page, 'Redo');
    await told(page, "one thing can't be read");
    // Text that is no TOML says where, and the form comes back with it.
    await asText(page, 'title = "x\n');
    await told(page, 'one thing');
    await press(page, 'Questions', '.ask');
    assert.match(await page.$eval('.ask', one => one.textContent), /line 1/);
    await press(page, 'Undo');
    await until(page, () => document.querySelector('[data-path="stock/0/thickness"]'));
  });

  each('a hole is dragged: red where it is blocked, green where it is free', async one => {
    const { page } = await open(one);
    await start(page, 'Nucleus boxes');
    await told(page, 'Ready');
    await press(page, 'Holes', '.look');
    await page.waitForSelector('.bore.can-move');
    const middle = () => page.$eval('.bore.can-move', hole => {
      const { x, y, width, height } = hole.getBoundingClientRect();
      return { x: x + width / 2, y: y + height / 2 };
    });
    const drag = async (dx, dy) => {
      const from = await middle();
      await page.mouse.move(from.x, from.y);
      await page.mouse.down();
      await page.mouse.move(from.x + dx, from.y + dy, { steps: 6 });
      await page.mouse.up();
    };
    const board = await page.$eval('.panel-face .board', one => one.getBoundingClientRect().height);
    // Up under the rest cleat, which lies on the outside.
    await drag(0, -board * 0.86);
    await page.waitForSelector('.bore-refused');
    await until(page, () => document.querySelector('#verdict .verdict-text').textContent.endsWith("won't work"));
    assert.match(await page.$eval('.holes .finding-refused', one => one.textContent), /cleat/);
    // By the keys back down until it is free.
    await page.$eval('.bore.can-move', hole => hole.focus());
    await page.keyboard.down('Shift');
    for (let i = 0; i < 8; i++) {
      await page.keyboard.press('ArrowDown');
      await new Promise(done => setTimeout(done, 250));
    }
    await page.keyboard.up('Shift');
    await page.waitForSelector('.bore-ok, .bore-caution');
    await told(page, 'Ready');
    const up = Number(await field(page, 'box/0/hole/0/up'));
    assert.ok(Number.isInteger(up), `${up} is a whole millimetre`);
    // A whole drag is one step back.
    const text = await specText(page);
    await drag(30, 0);
    await until(page, text => JSON.parse(localStorage.getItem('nestwright')).jobs[0].text !== text, text);
    await new Promise(done => setTimeout(done, 600));
    await press(page, 'Undo');
    await until(page, text => JSON.parse(localStorage.getItem('nestwright')).jobs[0].text === text, text);
  });

  each('a recess is dragged like a hole', async one => {
    const { page, said } = await open(one);
    await start(page, 'Trays');
    await told(page, 'Ready');
    await press(page, '+ A recess', '.ask');
    await until(page, () => JSON.parse(localStorage.getItem('nestwright')).jobs[0].text.includes('[[box.pocket]]'));
    await told(page, 'Ready');
    await press(page, 'Holes', '.look');
    await press(page, 'front', '.look .chips');
    await page.waitForSelector('.recess.can-move');
    const before = await specText(page);
    const shape = () => page.$eval('.recess.can-move', one => {
      const { x, y, width, height } = one.getBoundingClientRect();
      return { x: x + width / 2, y: y + height / 2 };
    });
    const scale = await page.$eval('.panel-face .face', one => one.getScreenCTM().a);
    const from = await shape();
    // Held beside its middle it keeps that distance to the hand: 40 mm to the right, 10 mm up.
    await page.mouse.move(from.x + 5 * scale, from.y);
    await page.mouse.down();
    await page.mouse.move(from.x + 45 * scale, from.y - 10 * scale, { steps: 6 });
    assert.equal((await page.$$('.recess.is-held')).length, 1);
    assert.equal((await page.$$('.measures')).length, 1);
    await page.mouse.up();
    await until(page, text => JSON.parse(localStorage.getItem('nestwright')).jobs[0].text !== text, before);
    await new Promise(done => setTimeout(done, 600));
    await told(page, 'Ready');
    const [wide, tall] = await page.$eval('.panel-face .board', one => { const { width, height } = one.getBBox(); return [width, height]; });
    const across = Number(await field(page, 'box/0/pocket/0/across'));
    const up = Number(await field(page, 'box/0/pocket/0/up'));
    assert.ok(Math.abs(across - (wide / 2 + 40)) <= 1, `${across} of ${wide}`);
    assert.ok(Math.abs(up - (tall / 2 + 10)) <= 1, `${up} of ${tall}`);
    const to = await shape();
    assert.ok(Math.abs(to.x - from.x - 40 * scale) <= scale && Math.abs(from.y - to.y - 10 * scale) <= scale, 'the picture follows');
    // A whole drag is one step back, and the keys move it as well.
    await press(page, 'Undo');
    await until(page, text => JSON.parse(localStorage.getItem('nestwright')).jobs[0].text === text, before);
    await until(page, () => document.querySelector('[data-path="box/0/pocket/0/across"] input').value === 'centre');
    await page.$eval('.recess.can-move', one => one.focus());
    await page.keyboard.press('ArrowUp');
    await until(page, up => Number(document.querySelector('[data-path="box/0/pocket/0/up"] input').value) === up, Math.round(tall / 2) + 1);
    assert.deepEqual(said, []);
  });

  each('the thickness slides, with what gives out at each end', async one => {
    const { page } = await open(one);
    await start(page, 'Nucleus boxes');
    await told(page, 'Ready');
    const said = () => page.$eval('.thickness .said', one => one.textContent);
    const [, least, most] = /from ([\d.]+) mm to ([\d.]+) mm/.exec(await said());
    const slide = value => page.$eval('.thickness input', (one, value) => {
      one.value = value;
      one.dispatchEvent(new Event('input', { bubbles: true }));
    }, String(value));
    await slide(Number(most) + 1);
    await until(page, () => document.querySelector('.thickness.gives-out'));
    // The slider goes by tenths.
    const thin = Math.ceil(Number(least) * 10) / 10;
    await slide(thin);
    await told(page, 'Ready');
    assert.match(await specText(page), new RegExp(`thickness = ${thin} +#`));
  });

  each('jobs and shop are kept when the page is closed', async one => {
    const { page, context } = await open(one);
    await start(page, 'Nest boxes');
    await told(page, 'Ready');
    await press(page, 'Shop');
    await page.waitForSelector('.shop select');
    await page.select('.shop select', 'desktop-router');
    await page.waitForSelector('.profile[open]');
    await page.evaluate(() => {
      const label = [...document.querySelectorAll('.profile .field label')].find(one => one.textContent.startsWith('clear'));
      const input = label.querySelector('input');
      input.value = '7';
      input.dispatchEvent(new Event('input', { bubbles: true }));
    });
    await until(page, () => /clear = \{ value = 7, source/.test(JSON.parse(localStorage.getItem('nestwright')).shop.profiles[0]?.text));
    const again = await context.newPage();
    await again.goto(page.url());
    again.setDefaultTimeout(120_000);
    await told(again, 'Ready');
    await again.evaluate(() => {
      for (const one of document.querySelectorAll('details')) one.open = true;
    });
    const machines = await again.$$eval('[data-path="router/machine"] option', all => all.map(one => one.value));
    assert.ok(machines.includes('my-desktop-router'), machines.join());
  });

  each('nothing to complain of for those who cannot see or use a mouse, by day and by night, wide and narrow', async one => {
    for (const [size, dark] of [[DESK, false], [PHONE, true], [{ width: 320, height: 640 }, false]]) {
      const { page, context, said } = await open(one, { size, dark: dark && browser === 'chrome' });
      const clean = async where => {
        await page.evaluate(axe);
        const found = await page.evaluate(() => axe.run(document, { resultTypes: ['violations'] }).then(({ violations }) => violations.map(({ id, nodes }) => `${id}: ${nodes[0].html}`)));
        assert.deepEqual(found, [], where);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
        assert.ok(wide <= 0, `${where}: ${wide} px too wide at ${size.width}`);
      };
      await page.waitForSelector('.starters button');
      await clean('start');
      await start(page, 'Nucleus boxes');
      await told(page, 'Ready');
      await clean('job');
      for (const view of ['Section', 'Holes', 'Sheets']) {
        await press(page, view, '.look');
        await new Promise(done => setTimeout(done, 400));
        await clean(view);
      }
      await press(page, 'Shop');
      await page.waitForSelector('.shop');
      await clean('shop');
      assert.deepEqual(said, []);
      await context.close();
    }
  });

  each('hostile words stay words', async one => {
    const { page, said } = await open(one);
    await start(page, 'Trays');
    const text = (await specText(page)).replace(/title = .*/, 'title = "<img src=x onerror=alert(1)>"').replace(/name = "tray"/, 'name = "<script>alert(2)</script>"');
    await asText(page, text);
    await told(page, 'Ready');
    await press(page, 'Make the folder');
    await page.waitForSelector('.folder');
    await press(page, 'At the machine', '.look');
    await page.waitForSelector('.job-page');
    await new Promise(done => setTimeout(done, 1500));
    assert.equal(await page.$$eval('.told img, .ask img', all => all.length), 0);
    assert.deepEqual(said, []);
  });
}
