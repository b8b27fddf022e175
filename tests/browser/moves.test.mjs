// The moves that the page plays back, as it unpacks them, held against job.json and against figures of their own.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { build } from 'esbuild';
import { jobOf, sample } from './browser.mjs';

// The page's own modules, as they go into its script.
async function module(name) {
  const { outputFiles } = await build({ entryPoints: [new URL(`../../page/job/${name}.ts`, import.meta.url).pathname], bundle: true, write: false, format: 'esm' });
  return import(`data:text/javascript,${encodeURIComponent(outputFiles[0].text)}`);
}
const { unpackMoves } = await module('moves');
const { placeIn } = await module('clock');
const near = (a, b, slack = 1e-9) => assert.ok(Math.abs(a - b) <= slack, `${a} is not ${b}`);
const last = moves => moves[moves.length - 1];

function sceneOf(folder) {
  const page = readFileSync(join(folder, 'job.html'), 'utf8');
  return JSON.parse(/<script type="application\/json" id="scene-data">(.*?)<\/script>/s.exec(page)[1]);
}

test('every sample program goes as far as job.json says, and each move stands on its line', () => {
  for (const name of ['nucs', 'nest-boxes', 'national-nuc', 'supers']) {
    const folder = sample(name);
    const scene = sceneOf(folder);
    jobOf(folder).programs.forEach((program, index) => {
      const { packed, rapid, unit, text } = scene.programs[index];
      const moves = unpackMoves(packed, rapid);
      const cut = moves.filter(move => ['cut', 'arc'].includes(move.kind)).reduce((sum, move) => sum + move.length, 0);
      // Each end of a move is written to a thousandth of a millimetre or a ten-thousandth of an inch: it may be off by half
      // of that in x and in y, and the move by twice as much.
      const digit = unit > 1 ? 0.0001 * unit : 0.001;
      const rounding = moves.length * digit * Math.SQRT2;
      // Each peck goes on a little above the last one's bottom, through air: job.json does not count that as cutting.
      const downs = moves.filter(move => move.kind === 'cut' && move.x0 === move.x1 && move.y0 === move.y1).length;
      assert.ok(cut > program.cut_length - rounding && cut < program.cut_length * 1.001 + rounding + downs * 0.5, `${cut}, not ${program.cut_length}`);
      const lines = text.split('\n');
      for (const move of moves.filter(move => move.kind === 'arc')) {
        assert.match(lines[move.line], /G[23]|^[^G]*[IJR]/, `line ${move.line + 1}`);
        const [x, y] = placeIn(move, 1);
        // An end of an arc is on its circle to the digits that both are written in.
        near(x, move.x1, 2 * digit + 0.001);
        near(y, move.y1, 2 * digit + 0.001);
      }
    });
  }
});

test('places add up, and what the machine moved itself is told anew', () => {
  const moves = unpackMoves([0, 3, 100000, 0, 50000, 3, 600, 1, 1, 0, 20000, -80000, 8, 2, 0, 2, 0, 0, 50000], 6000);
  assert.deepEqual(moves.map(move => [move.kind, move.line]), [['rapid', 3], ['cut', 4], ['rapid', 6]]);
  assert.deepEqual([moves[0].x0, moves[0].x1, moves[1].y1, moves[1].z1], [10, 10, 2, -3]);
  assert.deepEqual([moves[2].z0, moves[2].z1], [5, 5]);
  near(moves[1].length, Math.hypot(2, 8));
  near(moves[1].seconds, Math.hypot(2, 8) / 600 * 60);
});

test('a quarter turn and a helix', () => {
  const quarter = last(unpackMoves([0, 0, 100000, 0, 50000, 3, 600, 2, 1, -100000, 100000, 0, -100000, 0, Math.PI / 2], 6000));
  near(quarter.length, 5 * Math.PI);
  near(placeIn(quarter, 0.5)[0], 10 * Math.SQRT1_2);
  near(placeIn(quarter, 0.5)[1], 10 * Math.SQRT1_2);
  const helix = last(unpackMoves([0, 0, 100000, 0, 0, 3, 600, 2, 1, 0, 0, -30000, -100000, 0, -2 * Math.PI], 6000));
  near(helix.length, Math.hypot(20 * Math.PI, 3));
  near(placeIn(helix, 0.5)[2], -1.5);
  near(placeIn(helix, 0.25)[1], -10, 1e-6);
});

test('tools, waits and stops', () => {
  const moves = unpackMoves([7, 2, 0, 0, 1, 1, 1, 7, 1, 6, 2, 5, 1, 2.5, 4, 1, 3, 0, 1, 0, 0, 10000], 6000);
  assert.deepEqual(moves.map(move => [move.kind, move.tool]), [['rapid', 2], ['stop', 1], ['wait', 1], ['change', 3], ['rapid', 3]]);
  near(moves[2].seconds, 2.5);
});
