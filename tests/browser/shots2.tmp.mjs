import { launch, open, PHONE } from './browser.mjs';
const [,, folder, tag, w, h, scheme, step, cols] = process.argv;
const browser = await launch();
const { page, said } = await open(browser, folder, { size:{width:+w,height:+h}, colorScheme: scheme });
await page.waitForTimeout(400);
const full = await page.evaluate(()=>document.documentElement.scrollHeight);
const heads = await page.evaluate(()=>[...document.querySelectorAll('h1,h2,h3')].map(e=>[e.tagName, e.textContent.trim().slice(0,60), Math.round(e.getBoundingClientRect().top+scrollY)]));
console.log(full, JSON.stringify(heads));
let i=0;
for (let y=0;y<full;y+=+step) { await page.screenshot({path:`/tmp/pg/v/pg-${tag}-${String(i).padStart(2,'0')}.png`, fullPage:true, clip:{x:0,y,width:+w,height:Math.min(+step,full-y)}}); i++; if(i>40)break; }
if (said.length) console.log(said);
await browser.close();
