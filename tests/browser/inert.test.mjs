// Names are text, whatever they hold.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { launch, make, open } from './browser.mjs';

const TITLE = '</title></script><script>alert(1)</script><!-- & "q" \'s\'';
const BOX = '<img src=x onerror=alert(2)><svg onload=alert(3)>';
const PART = '{{ job }}{% raw %}</style><b>bold</b>';
const SPEC = `
title = ${JSON.stringify(TITLE)}
units = "mm"
stock = { material = "birch-plywood", size = [1220, 610], thickness = 12.1 }
router = { machine = "desktop-router", cutter = "endmill-6", drills = ["drill-20"] }
[[box]]
name = ${JSON.stringify(BOX)}
kind = "open-box"
count = 1
inside = [200, 150, 80]
hole = [{ panel = "front", use = "pilot", diameter = 20, across = "centre", up = 40 }]
[[part]]
name = ${JSON.stringify(PART)}
size = [150, 30]
count = 2
`;

let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

test('a job whose names are full of markup stays inert and readable', async () => {
  const { page, context, said } = await open(browser, make('markup', SPEC));
  assert.deepEqual(said, []);
  assert.equal(await page.title(), TITLE);
  assert.equal(await page.locator('h1').textContent(), TITLE);
  assert.equal(await page.locator('img, svg[onload], b:has-text("bold")').count(), 0);
  const last = page.locator('#cut-list .pick').last();
  assert.equal(await last.textContent(), PART);
  await last.click();
  assert.ok((await page.locator('#chosen-text').textContent()).includes(PART));
  await page.locator('#replay-play').click();
  assert.ok((await page.locator('#replay-goto').textContent()).length > 0);
  assert.deepEqual(said, []);
  await context.close();
});

// Should a mistake ever let markup through, the page's policy stops it from acting.
test('the policy refuses a script that the page did not bring', async () => {
  const { page, context, said } = await open(browser, make('policy', SPEC));
  await page.evaluate(() => {
    const script = document.createElement('script');
    script.textContent = 'document.title = "taken over"';
    document.body.append(script);
    document.body.insertAdjacentHTML('beforeend', '<img src="https://example.invalid/x.png" onerror="document.title = 1">');
  });
  await page.waitForTimeout(200);
  assert.equal(await page.title(), TITLE);
  assert.ok(said.some(line => line.includes('Content Security Policy')), said.join('\n'));
  await context.close();
});
