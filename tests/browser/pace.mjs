// Frames per second while a full sheet is replayed and a box is turned, and what a frame costs. Prints; asserts nothing.
//
// A frame's cost is processor time, of the page's main thread and of its whole process, which other work on the machine
// does not change much; frames per second are as many as the machine had time for.

import { PHONE, launch, open, sample, DESKTOP } from './browser.mjs';

const browser = await launch();
for (const [screen, options] of [['desktop', { size: DESKTOP }], ['phone', { size: PHONE, deviceScaleFactor: 3 }]]) {
  for (const name of ['nucs', 'nest-boxes']) {
    const { page, context } = await open(browser, sample(name), options);
    const meter = await context.newCDPSession(page);
    await meter.send('Performance.enable', { timeDomain: 'threadTicks' });
    await page.locator('#replay-program').selectOption({ index: (await page.locator('#replay-program option').count()) - 1 });
    for (const [what, zoom] of [['whole sheet', 0], ['close up, all paths', 5]]) {
      for (let i = 0; i < zoom; i++) await page.locator('#replay-in').click();
      if (zoom > 0) await page.locator('#replay-paths').check();
      await page.locator('#replay-time').fill('0');
      await page.locator('#replay-speed').selectOption('50');
      await page.locator('#replay-play').click();
      console.log(`${screen}, ${name}, ${what}: ${await pace(page, meter, 4000)}`);
      await page.locator('#replay-play').click();
    }
    const turning = page.evaluate(async () => {
      const canvas = document.getElementById('box-view');
      const bounds = canvas.getBoundingClientRect();
      const send = (type, x) => canvas.dispatchEvent(new PointerEvent(type, { pointerId: 1, clientX: bounds.left + x, clientY: bounds.top + 100, bubbles: true }));
      canvas.setPointerCapture = () => {};
      send('pointerdown', 100);
      const end = performance.now() + 3000;
      for (let x = 100; performance.now() < end; x += 4) {
        send('pointermove', x);
        await new Promise(requestAnimationFrame);
      }
      send('pointerup', 100);
    });
    console.log(`${screen}, ${name}, turning the box: ${await pace(page, meter, 2500)}`);
    await turning;
    await context.close();
  }
}
await browser.close();

async function pace(page, meter, time) {
  const before = await spent(meter);
  const gaps = await page.evaluate(async wait => {
    const times = [];
    const end = performance.now() + wait;
    while (performance.now() < end) times.push(await new Promise(requestAnimationFrame));
    return times.slice(1).map((at, i) => at - times[i]);
  }, time);
  const after = await spent(meter);
  const each = name => ((after[name] - before[name]) * 1000 / Math.max(1, gaps.length)).toFixed(1);
  gaps.sort((a, b) => a - b);
  const at = share => gaps[Math.min(gaps.length - 1, Math.floor(gaps.length * share))].toFixed(1);
  const mean = gaps.reduce((a, b) => a + b, 0) / gaps.length;
  return `${(1000 / mean).toFixed(1)} frames a second; a frame costs ${each('TaskDuration')} ms of the main thread, ${each('ProcessTime')} ms in all; it takes ${at(0.5)} ms in the middle, ${at(0.95)} ms at 95 %, ${at(1)} ms at worst`;
}

// Seconds of processor time so far.
async function spent(meter) {
  const { metrics } = await meter.send('Performance.getMetrics');
  return Object.fromEntries(metrics.map(({ name, value }) => [name, value]));
}
