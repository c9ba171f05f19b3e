import { logXml } from '../report/log-marks.js';
import { xmlLine } from '../report/visible.js';
import type { Box } from './placement.js';
import type { Point } from './view.js';

/** Attributes of an element; one that is undefined is left out. Numbers get one decimal. */
type Attributes = Readonly<Record<string, string | number | undefined>>;

/**
 * One element with its content, which is markup already. Drawings are put together from strings:
 * tens of thousands of elements as objects for a builder would take longer than all drawing.
 */
export function element(name: string, attributes: Attributes, ...content: string[]): string {
  let head = `<${name}`;
  for (const [key, value] of Object.entries(attributes)) {
    if (value === undefined) continue;
    head += ` ${key}="${typeof value === 'number' ? oneDecimal(value) : escaped(value)}"`;
  }
  const inner = content.join('');
  return inner === '' ? `${head}/>` : `${head}>${inner}</${name}>`;
}

/** A line of text; what XML or a viewer would obey instead of showing is escaped. */
export function textElement(
  x: number,
  y: number,
  className: string,
  text: string,
  more: Attributes = {},
): string {
  return element('text', { x, y, class: className, ...more }, escaped(text));
}

/** Between the parts of a line. Picture units. */
export const SPACE = 8;

/** A line of text with a strong and a quiet part. */
export function twoPartLine(x: number, y: number, strong: string, quiet: string): string {
  const first = element('tspan', { class: 'drawing-strong' }, escaped(strong));
  const second = element('tspan', { class: 'drawing-quiet', dx: SPACE }, escaped(quiet));
  return element('text', { x, y }, first, second);
}

/** A whole drawing; `label` says what it shows, for those who cannot see it. */
export function drawing(
  kind: string,
  label: string,
  frame: readonly [x: number, y: number, width: number, height: number],
  ...content: string[]
): string {
  const [, , width, height] = frame;
  const look = { class: `drawing drawing-${kind}`, role: 'img', 'aria-label': label };
  return element('svg', { ...look, viewBox: frame.join(' '), width, height }, ...content);
}

/** Words in a box that was found for them. */
export function labelElement({ x, y }: Pick<Box, 'x' | 'y'>, text: string, letter: number): string {
  return textElement(x, y + letter, 'drawing-label', text, { 'font-size': letter });
}

/** XML 1.0 (4.6, Predefined Entities); the last by number, since HTML 4 has no name for it. */
const ENTITY: Record<string, string> = {
  '&': 'amp',
  '<': 'lt',
  '>': 'gt',
  '"': 'quot',
  "'": '#39',
};

/** Content or attribute value for XML 1.0 (2.4, Character Data and Markup). */
export function escaped(text: string): string {
  return logXml(xmlLine(text).replace(/[&<>"']/g, (letter) => `&${ENTITY[letter]};`));
}

/** A tenth of a unit is finer than any screen shows; -0 becomes 0. */
export function oneDecimal(value: number): string {
  return String(Math.round(value * 10) / 10 || 0);
}

/** Path data of an open line through points. */
export function linePath(points: readonly Point[]): string {
  return points
    .map(([x, y], index) => `${index === 0 ? 'M' : 'L'}${oneDecimal(x)} ${oneDecimal(y)}`)
    .join('');
}
