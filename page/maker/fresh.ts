// What a new hole, recess, part, board or price starts with: in the units of the job, at a place that is there.

import { lengthText } from './length';
import type { Written } from './spec';
import type { Face } from './told';

type Table = [string, Written][];

const INCH = 25.4;

const written = (mm: number, inches: boolean): Written => {
  const text = lengthText(mm, inches ? 'in' : 'mm');
  return /^[\d.]+$/.test(text) ? { plain: text } : { text };
};

/** No more than half of a panel. */
const half = (mm: number, of: number | undefined): number => Math.min(mm, (of ?? 2 * mm) / 2);

/** Half way up the panel: there the wood is, however low it is. */
const middle = (face: Face | undefined, inches: boolean): Table => [
  ['across', { text: 'centre' }],
  ['up', written(face ? face.size[1] / 2 : 100, inches)],
];

export function freshHole(face: Face | undefined, inches: boolean): Table {
  const diameter = half(inches ? 0.75 * INCH : 20, face && Math.min(...face.size));
  return [['panel', { text: face?.panel ?? 'front' }], ['use', { text: 'vent' }], ['diameter', written(diameter, inches)], ...middle(face, inches)];
}

export function freshRecess(face: Face | undefined, inches: boolean): Table {
  const size = [half(inches ? 2 * INCH : 60, face?.size[0]), half(inches ? 0.75 * INCH : 20, face?.size[1])];
  return [
    ['panel', { text: face?.panel ?? 'front' }],
    ['size', { list: size.map(mm => written(mm, inches)) }],
    ['depth', written(inches ? INCH / 8 : 3, inches)],
    ...middle(face, inches),
  ];
}

export const freshPart = (number: number, inches: boolean): Table => [
  ['name', { text: `loose part ${number}` }],
  ['size', { list: (inches ? [8 * INCH, 4 * INCH] : [200, 100]).map(mm => written(mm, inches)) }],
];

/** An open box: the simplest, and another kind is one choice away. */
export const freshBox = (number: number, inches: boolean): Table => [
  ['name', { text: `box ${number}` }],
  ['kind', { text: 'open-box' }],
  ['count', { plain: '1' }],
  ['inside', { list: (inches ? [16 * INCH, 12 * INCH, 6 * INCH] : [400, 300, 150]).map(mm => written(mm, inches)) }],
];

export const freshBoard = (number: number, inches: boolean): Table => [
  ['name', { text: `board ${number}` }],
  ['material', { text: 'birch-plywood' }],
  ['size', { list: (inches ? [96 * INCH, 48 * INCH] : [2440, 1220]).map(mm => written(mm, inches)) }],
  ['thickness', written(inches ? 0.75 * INCH : 18, inches)],
];

/** A divider from the front to the back, in the middle. */
export const freshAddedBoard = (number: number, inches: boolean): Table => [
  ['name', { text: `divider ${number}` }],
  ['between', { list: [{ text: 'front' }, { text: 'back' }] }],
  ['height', written(inches ? 4 * INCH : 100, inches)],
];

/** A clamp at the sheet's lower-left corner. */
export const freshPlace = (inches: boolean): Table => [
  ['at', { list: [0, 0].map(mm => written(mm, inches)) }],
  ['size', { list: (inches ? [3 * INCH, 2 * INCH] : [80, 60]).map(mm => written(mm, inches)) }],
  ['why', { text: 'clamp' }],
  ['height', written(inches ? INCH : 25, inches)],
];

/** Priced elsewhere: the router and the hand by the hour, a sheet with its board. */
const ELSEWHERE = /^(router time|work by hand|sheets of .*)$/;

/** The first thing that has no price yet. The price itself only the maker knows. */
export function freshPrice(priced: string[], wanting: string[]): Table {
  const name = [...wanting.filter(one => !ELSEWHERE.test(one)), 'glue', 'paint'].find(one => !priced.includes(one));
  return [['name', { text: name ?? `item ${priced.length + 1}` }]];
}
