// The maker's page opened from the disk, in Chromium and in Firefox.

import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { test } from 'node:test';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { unzipSync } from 'fflate';
import puppeteer from 'puppeteer-core';

const root = join(dirname(fileURLToPath(import.meta.url)), '../../..');
const page = process.env.MAKER_PAGE || join(root, 'target/page/nestwright.html');
export const address = pathToFileURL(page).href;

const FOUND = {
  chrome: [process.env.CHROMIUM, '/usr/bin/chromium'].find(path => path && existsSync(path)),
  firefox: [process.env.FIREFOX, '/usr/bin/firefox-esr', '/usr/bin/firefox'].find(path => path && existsSync(path)),
};
export const BROWSERS = Object.keys(FOUND).filter(name => FOUND[name]);
export const PHONE = { width: 360, height: 740, hasTouch: true, isMobile: false };
export const DESK = { width: 1400, height: 900 };

export const launch = name =>
  puppeteer.launch({
    browser: name,
    executablePath: FOUND[name],
    headless: true,
    args: name === 'chrome' ? ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking'] : [],
    // The machine that tests may be busy.
    protocolTimeout: 240_000,
  });

/** A test in each of these browsers, each started for it alone. */
export function each(name, work, browsers = BROWSERS) {
  for (const browser of browsers) {
    test(`${browser}: ${name}`, { timeout: 300_000 }, async () => {
      const one = await launch(browser);
      try {
        await work(one, browser);
      } finally {
        await one.close();
      }
    });
  }
}

/** The page, started anew; `said` gathers what it complains of and what it asks the network for. */
export async function open(browser, { size = DESK, dark = false } = {}) {
  const context = await browser.createBrowserContext();
  const page = await context.newPage();
  // An older Firefox knows no orientation of the screen; its size is set all the same.
  await page.setViewport(size).catch(error => {
    if (!/setScreenOrientationOverride/.test(error.message)) throw error;
  });
  if (dark) await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: 'dark' }]);
  // What the page hands to the browser as files can be looked at.
  await page.evaluateOnNewDocument(() => {
    const own = URL.createObjectURL;
    window.handed = [];
    URL.createObjectURL = blob => {
      window.handed.push(blob);
      return own.call(URL, blob);
    };
  });
  const said = [];
  page.on('console', message => said.push(`${message.type()}: ${message.text()}`));
  page.on('pageerror', error => said.push(`error: ${error.message}`));
  page.on('request', request => {
    if (!/^(file|blob|data|about):/.test(request.url())) said.push(`asked for ${request.url()}`);
  });
  page.setDefaultTimeout(45_000);
  await page.goto(address);
  return { page, context, said };
}

/** Waits until the verdict begins with these words. */
export const told = (page, words) => until(page, words => document.querySelector('#verdict .verdict-text')?.textContent.startsWith(words), words);

/** Picks the box of this starter. */
export async function start(page, name) {
  await page.waitForSelector('.starters button');
  await page.evaluate(name => [...document.querySelectorAll('.starters button')].find(button => button.textContent.includes(name)).click(), name);
  await page.waitForSelector('#verdict');
}

export const press = (page, words, within = 'body') =>
  page.evaluate(
    (words, within) => {
      const button = [...document.querySelector(within).querySelectorAll('button')].find(one => one.textContent.trim().startsWith(words));
      if (!button) throw new Error(`no button ${words}`);
      button.click();
    },
    words,
    within,
  );

/** Enters a value into the field of a key. */
export async function enter(page, path, value) {
  await page.evaluate(path => {
    const field = document.querySelector(`[data-path="${path}"]`);
    for (let at = field; at; at = at.parentElement) if (at.tagName === 'DETAILS') at.open = true;
  }, path);
  const field = await page.waitForSelector(`[data-path="${path}"] input, [data-path="${path}"] select`);
  if (await field.evaluate(one => one.tagName === 'SELECT')) return field.select(value);
  await field.evaluate(one => {
    one.focus();
    one.select();
  });
  await page.keyboard.type(value);
  return field;
}

const PATIENCE = 45_000;

/** Waits until a check in the page holds. Asked again and again from here: a page that evaluates no text of others, as this one's policy wants it, can't wait by itself. */
export async function until(page, check, ...args) {
  const end = Date.now() + PATIENCE;
  const holds = async () => {
    const found = await page.evaluateHandle(check, ...args);
    return found.asElement() !== null || Boolean(await found.jsonValue());
  };
  // What a check reads may not be there yet.
  while (!(await holds().catch(() => false))) {
    if (Date.now() > end) throw new Error(`waited in vain for ${args.length ? JSON.stringify(args) : check}`);
    await new Promise(done => setTimeout(done, 25));
  }
}

/** Waits until the spec has these words. */
export const written = (page, words) =>
  until(page, words => {
    const kept = JSON.parse(localStorage.getItem('nestwright'));
    return kept.jobs.find(job => job.id === kept.at)?.text.includes(words);
  }, words);

/** The path of the field that has the cursor. */
export const cursor = page => page.evaluate(() => document.activeElement.closest('[data-path]')?.dataset.path);

export const specText = page =>
  page.evaluate(() => {
    const kept = JSON.parse(localStorage.getItem('nestwright'));
    return kept.jobs.find(job => job.id === kept.at).text;
  });

/** The folder as the page hands it to the browser: names and bytes out of the zip. */
export async function folderOf(page) {
  await press(page, 'Save all as');
  await until(page, () => window.handed.some(blob => blob.type === 'application/zip'));
  const text = await page.evaluate(async () => {
    const blob = window.handed.findLast(blob => blob.type === 'application/zip');
    const bytes = new Uint8Array(await blob.arrayBuffer());
    let text = '';
    for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
    return btoa(text);
  });
  return unzipSync(Buffer.from(text, 'base64'));
}
