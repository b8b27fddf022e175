// Bundles the pages' scripts. `job`: the script of the job page, which the library embeds and the repository keeps.
// `maker FOLDER OUT`: the maker's page as one file, from the bindings that FOLDER holds.

import { build } from 'esbuild';
import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { gzipSync } from 'node:zlib';

const here = dirname(fileURLToPath(import.meta.url));
const JOB = join(here, '../src/export/page/script.js');

async function bundled(entry, more = {}) {
  const result = await build({
    entryPoints: [join(here, entry)],
    bundle: true,
    write: false,
    format: 'iife',
    target: ['es2022'],
    minify: true,
    charset: 'utf8',
    legalComments: 'none',
    jsx: 'automatic',
    jsxImportSource: 'preact',
    logLevel: 'warning',
    ...more,
  });
  return result.outputFiles[0].text;
}

const sum = text => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

async function job() {
  writeFileSync(JOB, await bundled('job/main.ts'));
}

async function maker(folder, out) {
  // The worker is a text in the page's own script, started from a blob: a file on a disk has no other file to name.
  const worker = await bundled('maker/worker.ts', {
    alias: { bindings: join(folder, 'nestwright_page.js') },
    define: { 'import.meta.url': '""' },
  });
  const script = await bundled('maker/main.tsx', { define: { WORKER: JSON.stringify(worker) } });
  const style = await bundled('maker/style.css', { format: undefined, loader: { '.css': 'css' } });
  const engine = gzipSync(readFileSync(join(folder, 'nestwright_page_bg.wasm')), { level: 9 }).toString('base64');
  const safe = script.replaceAll('</script', '<\\/script').replaceAll('<!--', '<\\!--');
  // The job page that is shown inside has a style and a script of its own.
  const bindings = await import(pathToFileURL(join(folder, 'nestwright_page.js')));
  bindings.initSync({ module: readFileSync(join(folder, 'nestwright_page_bg.wasm')) });
  const [jobStyle, jobScript] = ['style', 'script'].map(of => new RegExp(`${of}-src ('sha256-[^']+')`).exec(new bindings.Engine().page_policy())[1]);
  const policy = [
    "default-src 'none'",
    `script-src ${sum(safe)} ${jobScript} 'wasm-unsafe-eval' blob:`,
    'worker-src blob:',
    `style-src ${sum(style)} ${jobStyle}`,
    'img-src blob: data:',
    
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
  const page = readFileSync(join(here, 'maker/page.html'), 'utf8');
  const put = { POLICY: policy, STYLE: style, SCRIPT: safe, ENGINE: engine };
  writeFileSync(out, page.replace(/\{\{(\w+)\}\}/g, (_, name) => put[name]));
  const size = Buffer.byteLength(page) + script.length + style.length + engine.length;
  console.log(`${out}: ${(size / 1e6).toFixed(2)} MB, of which the engine ${(engine.length / 1e6).toFixed(2)}`);
}

const [what, folder, out] = process.argv.slice(2);
if (what === 'job') await job();
else if (what === 'maker' && folder && out) await maker(folder, out);
else throw new Error('node bundle.mjs job, or node bundle.mjs maker FOLDER OUT');
