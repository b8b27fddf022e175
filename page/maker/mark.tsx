// A status is a shape and a word; its colour only repeats them.

import type { Bar, Status } from './told';

export function Mark({ status }: { status: Status | 'waiting' }) {
  if (status === 'waiting') {
    return (
      <svg class="mark mark-waiting" viewBox="0 0 20 20" role="img" aria-label="waiting"><circle cx="10" cy="10" r="8.5" /><path d="M10 5v5l3.5 2" /></svg>
    );
  }
  if (status === 'caution') {
    return (
      <svg class="mark mark-caution" viewBox="0 0 20 20" role="img" aria-label="caution"><path class="body" d="M10 1.5L19.2 18H.8Z" /><path d="M10 7v5.2M10 14.6v1.2" /></svg>
    );
  }
  if (status === 'refused') {
    return (
      <svg class="mark mark-refused" viewBox="0 0 20 20" role="img" aria-label="refused"><rect x="1.5" y="1.5" width="17" height="17" rx="2" /><path d="M6 6l8 8M14 6l-8 8" /></svg>
    );
  }
  return (
    <svg class="mark mark-ok" viewBox="0 0 20 20" role="img" aria-label={status}><circle cx="10" cy="10" r="9" /><path d="M5.5 10.5l3 3 6-7" /></svg>
  );
}

/** A measure on the band of what is allowed. The words beside it say the same. */
export function Band({ bar }: { bar: Bar }) {
  return (
    <svg class="bar" viewBox="0 0 100 18" aria-hidden="true">
      <path class="bar-base" d="M0 12H100" />
      <rect class="bar-band" x={bar.from} y="8" width={bar.to - bar.from} height="8" />
      {!bar.open_below && <path class="bar-end" d={`M${bar.from} 6v12`} />}
      {!bar.open_above && <path class="bar-end" d={`M${bar.to} 6v12`} />}
      <path class="bar-mark" d={`M${bar.mark} 16l-4 -9.5v-5.5h8v5.5z`} />
    </svg>
  );
}
