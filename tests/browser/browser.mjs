// Jobs made by the program, and their pages opened from the disk in Chromium.

import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const root = join(dirname(fileURLToPath(import.meta.url)), '../..');
const program = process.env.NESTWRIGHT || join(root, 'target/release/nestwright');
const work = mkdtempSync(join(tmpdir(), 'nestwright-page-'));
process.on('exit', () => rmSync(work, { recursive: true, force: true }));

export const PHONE = { width: 390, height: 844 };
export const DESKTOP = { width: 1366, height: 900 };

// Makes a job from its spec's text; gives its folder.
export function make(name, spec) {
  const folder = join(work, name);
  writeFileSync(`${folder}.toml`, spec);
  execFileSync(program, ['make', `${folder}.toml`, '-o', folder], { stdio: ['ignore', 'ignore', 'inherit'] });
  return folder;
}

export const sample = name => make(name, readFileSync(join(root, 'out-samples', name, 'job.toml'), 'utf8'));
// The job that benchmarks measure: it stays as it is when the samples change.
export const measuredNucs = () => make('measured-nucs', readFileSync(join(root, 'benches/jobs/nucs.toml'), 'utf8'));
export const jobOf = folder => JSON.parse(readFileSync(join(folder, 'job.json'), 'utf8'));
export const source = path => readFileSync(join(root, path), 'utf8');

// Without a sandbox because containers run as root; the rest keeps the browser from looking for its maker's servers.
const FLAGS = [
  '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
  '--disable-component-update', '--disable-sync',
];

export const launch = () => chromium.launch({ executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: FLAGS });

// A job's page, opened from the disk. `said` gathers whatever the page complains of and whatever it asks the network for.
export async function open(browser, folder, { size = DESKTOP, still = false, script = null, ...options } = {}) {
  const context = await browser.newContext({ viewport: size, ...options });
  const page = await context.newPage();
  if (script) await page.addInitScript(script);
  const said = [];
  page.on('console', message => said.push(`${message.type()}: ${message.text()}`));
  page.on('pageerror', error => said.push(`error: ${error.message}`));
  page.on('dialog', dialog => { said.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  const address = pathToFileURL(join(folder, 'job.html')).href;
  page.on('request', request => { if (request.url() !== address) said.push(`asked for ${request.url()}`); });
  await page.goto(address);
  if (!still) await frames(page, 3);
  return { page, context, said };
}

// Waits until the page has drawn some frames.
export const frames = (page, count) => page.evaluate(async many => {
  for (let i = 0; i < many; i++) await new Promise(requestAnimationFrame);
}, count);

// The pixels of a canvas of the page, red, green, blue and opacity, read from a copy so that the page's own stays fast.
export const pixels = (page, id) => page.evaluate(name => {
  const canvas = document.getElementById(name);
  const copy = document.createElement('canvas');
  copy.width = canvas.width;
  copy.height = canvas.height;
  const context = copy.getContext('2d', { willReadFrequently: true });
  context.drawImage(canvas, 0, 0);
  const { data } = context.getImageData(0, 0, copy.width, copy.height);
  let text = '';
  for (let i = 0; i < data.length; i += 32768) text += String.fromCharCode(...data.subarray(i, i + 32768));
  return { width: copy.width, height: copy.height, text: btoa(text) };
}, id).then(({ width, height, text }) => ({ width, height, data: Buffer.from(text, 'base64') }));
