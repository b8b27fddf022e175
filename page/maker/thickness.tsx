// The board's thickness as a slider over what is sold, with the range in which the boxes made of it work.

import type { Path } from './spec';
import { useBench } from './use';
import { Words } from './words';
import { change } from './work';

const INCH = 25.4;
/** Thicknesses that are sold, by their labels (mm). */
const SOLD = { mm: [4, 6, 9, 12, 15, 18, 21, 24, 27, 30], in: [0.25, 0.375, 0.5, 0.625, 0.75, 1, 1.25].map(inches => inches * INCH) };
const LEAST = 3;
const MOST = 32;

const share = (mm: number): number => Math.max(0, Math.min(100, ((mm - LEAST) / (MOST - LEAST)) * 100));

export function Thickness({ at, path }: { at: number; path: Path }) {
  const { seen } = useBench();
  const stock = seen?.stocks[at];
  if (!seen || !stock) return null;
  const inches = seen.units === 'in';
  const unit = inches ? INCH : 1;
  const step = inches ? 0.005 : 0.1;
  const show = (mm: number): string => `${Number((mm / unit).toFixed(inches ? 3 : 2))} ${inches ? 'in' : 'mm'}`;
  // All boxes of this board work where each of them does.
  const least = Math.max(...stock.ranges.map(range => range.least ?? LEAST), LEAST);
  const most = Math.min(...stock.ranges.map(range => range.most ?? MOST), MOST);
  const known = stock.ranges.length > 0 && least <= most;
  const holds = known && stock.thickness >= least - 0.011 && stock.thickness <= most + 0.011;
  const give = (value: string): void => void change([[path, { value: { plain: value } }]], `slider ${path.join('/')}`);
  const every = known && least <= LEAST && most >= MOST;
  // What is refused is told beside, with its own advice.
  const ends = every ? [] : stock.ranges.filter(range => range.holds && range.advice);
  return (
    <div class={`thickness ${holds ? 'holds' : 'gives-out'}`}>
      <div class="scale" aria-hidden="true">
        {known && <span class="works" style={{ left: `${share(least)}%`, width: `${share(most) - share(least)}%` }} />}
        {SOLD[seen.units].map(mm => (
          <span class="sold" style={{ left: `${share(mm)}%` }} />
        ))}
      </div>
      <input
        type="range"
        aria-label="thickness of the board"
        aria-valuetext={show(stock.thickness)}
        min={LEAST / unit}
        max={MOST / unit}
        step={step}
        value={stock.thickness / unit}
        onInput={event => give(String(Number(Number(event.currentTarget.value).toFixed(3))))}
      />
      <p class="said">
        {!known ? 'No thickness works as the job stands.' : every ? 'Any thickness on this scale works.' : holds ? `Works from ${show(least)} to ${show(most)}.` : `${show(stock.thickness)} does not work here; from ${show(least)} to ${show(most)} does.`}
      </p>
      {ends.map(range => (
        <p class="hint">{stock.ranges.length > 1 ? `${range.box}: ` : ''}<Words text={range.advice} />.</p>
      ))}
    </div>
  );
}
