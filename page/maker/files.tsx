// The folder: as one zip, and each file by itself; and the job page of what was made.

import { zipSync } from 'fflate';
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { useBench } from './use';
import { job } from './state';

const KINDS: Record<string, string> = {
  html: 'text/html',
  pdf: 'application/pdf',
  svg: 'image/svg+xml',
  csv: 'text/csv',
  json: 'application/json',
};
const typeOf = (name: string): string => KINDS[name.split('.').pop() ?? ''] ?? 'text/plain';
const blobOf = (name: string, bytes: Uint8Array): Blob => new Blob([bytes as BlobPart], { type: `${typeOf(name)};charset=utf-8` });
const last = (name: string): string => name.split('/').pop()!;

/** What a maker reaches for first, and the rest by folder. */
const GROUPS: [string, (name: string) => boolean][] = [
  ['To read and to print', name => /^(job\.html|drawings\.pdf|assembly\.txt|turning\.txt)$/.test(name)],
  ['For the router', name => /\.(nc|ngc|tap|gcode)$/.test(name) || /^sheet-\d+\.dxf$/.test(name)],
  ['Lists', name => /\.(csv)$/.test(name) || name === 'offcuts.toml'],
  ['Pictures of sheets and boxes', name => /^(sheet|saw)-.*\.svg$|^boxes\//.test(name)],
  ['Parts', name => name.startsWith('parts/')],
  ['Templates at true scale', name => name.startsWith('templates/')],
  ['The job as data', () => true],
];

const size = (bytes: number): string => (bytes < 100_000 ? `${Math.max(1, Math.round(bytes / 1000))} KB` : `${(bytes / 1e6).toFixed(1)} MB`);

export function Files() {
  const { files } = useBench();
  const name = job()?.name ?? 'job';
  const [saved, setSaved] = useState('');
  const groups = useMemo(() => {
    const left = [...(files ?? new Map<string, Uint8Array>())];
    return GROUPS.map(([title, is]) => {
      const own = left.filter(([file]) => is(file));
      own.forEach(one => left.splice(left.indexOf(one), 1));
      return { title, own };
    }).filter(group => group.own.length > 0);
  }, [files]);
  if (!files) return null;
  const zip = (): void => {
    // Drawings and pages shrink; nothing in the folder is packed already but the PDF.
    const all = Object.fromEntries([...files].map(([file, bytes]) => [`${name}/${file}`, [bytes, { level: file.endsWith('.pdf') ? 0 : 6, mtime: new Date(1980, 0, 1) }]]));
    save(`${name}.zip`, new Blob([zipSync(all as Parameters<typeof zipSync>[0]) as BlobPart], { type: 'application/zip' }));
    setSaved(`${name}.zip, with ${files.size} files, was handed to your browser's downloads.`);
  };
  return (
    <div class="folder">
      <p><button type="button" class="act" onClick={zip}>Save all as {name}.zip</button></p>
      <p class="said" aria-live="polite">{saved}</p>
      <p class="caution-note">Cutting hurts people. The machine's manual, local rules and qualified practice come before anything in this folder. Look at each program on your own machine's screen before you start it.</p>
      {groups.map(({ title, own }) => (
        <details open={own.length < 12}>
          <summary><h3>{title} ({own.length})</h3></summary>
          <ul class="files">
            {own.map(([file, bytes]) => (
              <li>
                <button type="button" class="link" onClick={() => open(file, bytes)}>{last(file)}</button>
                <span class="size">{size(bytes.length)}</span>
                <button type="button" aria-label={`save ${last(file)}`} onClick={() => save(last(file), blobOf(file, bytes))}>Save</button>
                {canShare(file, bytes) && <button type="button" aria-label={`share ${last(file)}`} onClick={() => void share(file, bytes)}>Share</button>}
              </li>
            ))}
          </ul>
        </details>
      ))}
    </div>
  );
}

export function save(name: string, blob: Blob): void {
  const address = URL.createObjectURL(blob);
  const link = document.createElement('a');
  link.href = address;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

function open(name: string, bytes: Uint8Array): void {
  const address = URL.createObjectURL(blobOf(name, bytes));
  window.open(address, '_blank', 'noopener');
  setTimeout(() => URL.revokeObjectURL(address), 600_000);
}

const asFile = (name: string, bytes: Uint8Array): File => new File([bytes as BlobPart], last(name), { type: typeOf(name) });

function canShare(name: string, bytes: Uint8Array): boolean {
  return typeof navigator.canShare === 'function' && navigator.canShare({ files: [asFile(name, bytes)] });
}

async function share(name: string, bytes: Uint8Array): Promise<void> {
  // Whoever closes the sheet has changed their mind.
  await navigator.share({ files: [asFile(name, bytes)], title: last(name) }).catch(() => {});
}

/** The job page, as it lies in the folder: its links lead to the files beside it. */
export function Machine() {
  const { files } = useBench();
  const frame = useRef<HTMLIFrameElement>(null);
  const page = useMemo(() => (files ? new TextDecoder().decode(files.get('job.html')) : ''), [files]);
  useEffect(() => {
    const own = frame.current;
    const ready = (): void => {
      own?.contentDocument?.addEventListener('click', event => {
        const link = (event.target as Element).closest('a[href]');
        const name = link?.getAttribute('href') ?? '';
        const bytes = files?.get(decodeURI(name));
        if (!bytes) return;
        event.preventDefault();
        open(name, bytes);
      });
    };
    own?.addEventListener('load', ready);
    return () => own?.removeEventListener('load', ready);
  }, [files]);
  return <iframe ref={frame} class="job-page" title="The job page: replay of the programs, saw and assembly steps to tick" srcdoc={page} />;
}
