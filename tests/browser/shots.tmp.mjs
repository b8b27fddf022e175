import { launch, open, PHONE } from './browser.mjs';
const DESK={width:1280,height:900};
const browser = await launch();
const [,, folder, tag] = process.argv;
for (const [name,size] of [['phone',PHONE],['desk',DESK]]) for (const scheme of ['light','dark']) {
  const { page, context, said } = await open(browser, folder, { size, colorScheme: scheme });
  await page.waitForTimeout(500);
  await page.screenshot({ path: `/tmp/pg/v/page-${tag}-${name}-${scheme}.png`, fullPage: true });
  if (said.length) console.log(tag,name,scheme,said);
  await context.close();
}
const { page, context } = await open(browser, folder, { size: DESK });
await page.pdf({ path: `/tmp/pg/v/page-${tag}.pdf`, format: 'A4' });
await browser.close();
