// What the colours, dashes and numbers of the replay mean.

import { $, type ProgramRecord, type Tool } from './data';
import type { Said } from './words';
import { DEPTHS, GONE, type Wood } from './wood';

/** How a tool's paths are drawn. */
export interface Style {
  colour: string;
  dash: number[];
}

// Tools by number in order: a colour and a dash, so that neither is needed alone. Safe for colour-blind eyes.
export const TOOLS: Style[] = [
  { colour: '#0a6fb5', dash: [] },
  { colour: '#c8501e', dash: [10, 3, 2, 3] },
  { colour: '#5b3fa0', dash: [2, 3] },
  { colour: '#00806a', dash: [12, 3] },
];
export const RAPID: Style = { colour: '#5d666b', dash: [6, 5] };

export function showLegend(record: ProgramRecord, wood: Wood, styleOf: (tool: Tool) => Style, length: Said): void {
  const items: [SVGElement, string][] = record.tools.map(tool => [lineSample(styleOf(tool)), `T${tool.number}, ${length(tool.diameter)}`]);
  items.push([lineSample(RAPID), 'without cutting']);
  DEPTHS.forEach((colour, i) => items.push([depthSample(colour, i + 1), `to ${length(wood.thickness * (i + 1) / DEPTHS.length)}`]));
  items.push([depthSample(GONE, '×'), 'through']);
  $('replay-legend').replaceChildren(...items.map(([sample, text]) => {
    const item = document.createElement('li');
    item.append(sample, ` ${text}`);
    return item;
  }));
}

function svg(name: string, attributes: Record<string, string | number>): SVGElement {
  const element = document.createElementNS('http://www.w3.org/2000/svg', name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
  return element;
}

function lineSample(style: Style): SVGElement {
  const picture = svg('svg', { viewBox: '0 0 40 20', 'aria-hidden': 'true' });
  picture.append(svg('path', { d: 'M1 10H39', fill: 'none', stroke: style.colour, 'stroke-width': 3.5, 'stroke-dasharray': style.dash.join(' ') }));
  return picture;
}

function depthSample(colour: string, text: string | number): SVGElement {
  const picture = svg('svg', { viewBox: '0 0 40 20', 'aria-hidden': 'true' });
  picture.append(svg('rect', { width: 40, height: 20, fill: colour }));
  const label = svg('text', { x: 20, y: 15, 'text-anchor': 'middle', 'font-size': 14, 'font-weight': 700, fill: colour < '#a' ? '#fff' : '#1d1a15' });
  label.textContent = String(text);
  picture.append(label);
  return picture;
}
