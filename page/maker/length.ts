// Lengths as a maker writes them.

const INCH = 25.4;

/** A length as a maker writes it: `22`, `3 7/16 in`. */
export function lengthText(mm: number, units: 'mm' | 'in'): string {
  if (units === 'mm') return String(Math.round(mm * 10) / 10);
  const parts = Math.round((mm / INCH) * 16);
  const whole = Math.floor(parts / 16);
  let [top, bottom] = [parts % 16, 16];
  if (top === 0) return String(whole);
  while (top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  return `${whole ? `${whole} ` : ''}${top}/${bottom} in`;
}
