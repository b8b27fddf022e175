// The page's own reader of programs, held against the standard and against what job.json says of each program.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { jobOf, sample, source } from './browser.mjs';

const script = ['reader', 'clock'].map(name => source(`src/export/page/script/${name}.js`)).join('\n');
const { readProgram, placeIn } = new Function(`'use strict';${script}\nreturn { readProgram, placeIn };`)();
const read = (...lines) => readProgram(lines.join('\n'), 6000);
const near = (a, b, slack = 1e-9) => assert.ok(Math.abs(a - b) <= slack, `${a} is not ${b}`);
const last = moves => moves[moves.length - 1];

test('every sample program is understood, and goes as far as job.json says', () => {
  for (const name of ['nucs', 'nest-boxes', 'national-nuc', 'supers']) {
    const folder = sample(name);
    for (const program of jobOf(folder).programs) {
      const { moves, notes, unit } = readProgram(readFileSync(join(folder, program.file), 'utf8'), 8000);
      assert.deepEqual(notes, [], program.file);
      const cut = moves.filter(move => ['cut', 'arc'].includes(move.kind)).reduce((sum, move) => sum + move.length, 0);
      // Each end of a move is written to a thousandth of a millimetre or a ten-thousandth of an inch: it may be off by half
      // of that in x and in y, and the move by twice as much.
      const digit = unit > 1 ? 0.0001 * unit : 0.001;
      const rounding = moves.length * digit * Math.SQRT2;
      // Each peck goes on a little above the last one's bottom, through air: job.json does not count that as cutting.
      const downs = moves.filter(move => move.kind === 'cut' && move.x0 === move.x1 && move.y0 === move.y1).length;
      assert.ok(cut > program.cut_length - rounding && cut < program.cut_length * 1.001 + rounding + downs * 0.5, `${cut}, not ${program.cut_length}`);
    }
  }
});

// NIST IR 6556, section 3.5.3, "Arc at Feed Rate" (words of the section from memory; the geometry is checked here).
test('arcs in both forms', () => {
  const quarter = last(read('G21 G90', 'G0 X10 Y0 Z5', 'G3 X0 Y10 I-10 J0 F600').moves);
  near(quarter.length, 5 * Math.PI);
  near(placeIn(quarter, 0.5)[0], 10 * Math.SQRT1_2);
  near(placeIn(quarter, 0.5)[1], 10 * Math.SQRT1_2);
  const byRadius = last(read('G21', 'G0 X10 Y0 Z5', 'G3 X0 Y10 R10 F600').moves);
  near(byRadius.cx, 0);
  near(byRadius.cy, 0);
  const longWay = last(read('G21', 'G0 X10 Y0 Z5', 'G3 X0 Y10 R-10 F600').moves);
  near(longWay.length, 15 * Math.PI);
  const clockwise = last(read('G21', 'G0 X10 Y0 Z5', 'G2 X0 Y10 I-10 J0 F600').moves);
  near(clockwise.length, 15 * Math.PI);
  const clockwiseR = last(read('G21', 'G0 X0 Y10 Z5', 'G2 X10 Y0 R10 F600').moves);
  near(clockwiseR.length, 5 * Math.PI);
  near(clockwiseR.cx, 0);
});

test('a full circle, and a helix as long as its slope', () => {
  near(last(read('G21', 'G0 X10 Y0 Z0', 'G3 I-10 F600').moves).length, 20 * Math.PI);
  const helix = last(read('G21', 'G0 X10 Y0 Z0', 'G2 X10 Y0 Z-3 I-10 J0 F600').moves);
  near(helix.length, Math.hypot(20 * Math.PI, 3));
  near(placeIn(helix, 0.5)[2], -1.5);
  near(placeIn(helix, 0.25)[1], -10, 1e-6);
});

test('inches are inches, and the way is modal', () => {
  const { moves } = read('G20 G90', 'G0 X1 Y2 Z.5', 'G1 Z-.25 F10', 'X2');
  near(last(moves).x1, 50.8);
  near(last(moves).z1, -6.35);
  near(last(moves).feed, 254);
  near(last(moves).seconds, 6);
});

// NIST IR 6556, section 3.5.16, the canned cycles: over, down to R, feed to Z, out to R (G99) or to where it was (G98).
test('drilling cycles are written out', () => {
  const simple = read('G21 G90', 'G0 Z10', 'G98 G81 X5 Y6 Z-3 R2 F60', 'X15', 'G80').moves;
  const heights = simple.map(move => [move.kind, move.x1, move.z1]);
  assert.deepEqual(heights.slice(1), [
    ['rapid', 5, 10], ['rapid', 5, 2], ['cut', 5, -3], ['rapid', 5, 10],
    ['rapid', 15, 10], ['rapid', 15, 2], ['cut', 15, -3], ['rapid', 15, 10],
  ]);
  const pecked = read('G21 G90', 'G0 Z10', 'G99 G83 X5 Y6 Z-8 R2 Q4 F60').moves;
  assert.deepEqual(pecked.filter(move => move.kind === 'cut').map(move => move.z1), [-2, -6, -8]);
  assert.equal(last(pecked).z1, 2);
  near(pecked.filter(move => move.kind === 'cut').reduce((sum, move) => sum + move.length, 0), 10 + 2 * 0.25);
});

// G98 goes back to the height before the first of a series, even when the hole before it was left by G99.
test('a series of drilling cycles remembers where it began', () => {
  const { moves } = read('G21 G90', 'G0 X0 Y0 Z10', 'G99 G82 X5 Z-3 R2 P3 F60', 'G98 X15', 'G80');
  assert.deepEqual(moves.filter(move => move.kind === 'rapid').map(move => move.z1).slice(1), [10, 2, 2, 2, 2, 10]);
  assert.deepEqual(moves.filter(move => move.kind === 'wait').map(move => move.seconds), [3, 3]);
});

test('a tool that a person puts in is the one that the comment asks for', () => {
  const { moves, notes } = read('(tool 2: a drill)', 'G21', 'G0 X1 Y1 Z5', 'M5', '(tool 1: a mill)', 'M0', 'G43 H1', 'G0 X2');
  assert.deepEqual(moves.map(move => [move.kind, move.tool]), [['rapid', 2], ['stop', 1], ['rapid', 1]]);
  assert.deepEqual(notes, []);
});

test('a controller that waits in milliseconds', () => {
  near(readProgram('G4 P2500', 6000, 0.001).moves[0].seconds, 2.5);
});

test('tools, waits, and the end', () => {
  const { moves } = read('T3 M6', 'S1000 M3', 'G4 P2.5', 'G0 X1 Y1 Z1', 'M0', 'M5', 'M30', 'G0 X99');
  assert.deepEqual(moves.map(move => move.kind), ['change', 'wait', 'rapid', 'stop']);
  assert.equal(moves[2].tool, 3);
  near(moves[1].seconds, 2.5);
});

test('relative moves', () => {
  const { moves } = read('G21 G90', 'G0 X10 Y10 Z5', 'G91', 'G1 X5 F100', 'Y-2 Z-1');
  assert.deepEqual([last(moves).x1, last(moves).y1, last(moves).z1], [15, 8, 4]);
});

test('what is not understood is said with its line', () => {
  const said = (...lines) => read(...lines).notes.map(note => `${note.line + 1}: ${note.what}`);
  assert.deepEqual(said('G21', 'G5 X1'), ['2: G5 is not understood', '2: a position without a motion code']);
  assert.deepEqual(said('G0 X1 Y1 Z1', 'G1 X#3 F100'), ['2: “X#3” is not understood']);
  assert.deepEqual(said('G0 X1 Y1 Z1', 'G1 X2'), ['2: a cut without a feed']);
  assert.deepEqual(said('G0 X0 Y0 Z1', 'G2 X10 Y0 I4 J0 F100'), ['2: an arc whose end is not on its circle']);
  assert.deepEqual(said('G0 X0 Y0 Z1', 'G2 X10 Y0 R3 F100'), ['2: an arc whose radius does not reach its end']);
  assert.deepEqual(said('G0 X0 Y0 M77'), ['1: M77 is not understood']);
  assert.deepEqual(said('(a note) ; and another', '%', '', 'N10 G0 X1 Y1'), []);
});
