import type { Draw } from './draw.js';
import { raw } from './loose-json.js';

const NUMBERS: readonly unknown[] = [
  0,
  -1,
  1,
  2,
  3,
  0.5,
  -0.5,
  255,
  256,
  65535,
  65536,
  2 ** 24,
  2 ** 31 - 1,
  2 ** 31,
  2 ** 32 - 1,
  2 ** 32,
  2 ** 53 - 1,
  2 ** 53,
  -(2 ** 31),
  1e20,
  1e30,
  1e38,
  1e39,
  1e300,
  1e-30,
  5e-324,
  raw('1e999'),
  raw('-1e999'),
  raw('-0'),
  raw('1.0'),
  raw('01'),
];

/** A number at some edge. */
export const oddNumber = (draw: Draw): unknown => draw.pick(NUMBERS);

const LENGTHS = [
  0, 1e-45, 1e-20, 1e-9, 1e-3, 0.1, 0.3, 1, 1.5, 2, 10, 1e3, 1e6, 1e9, 1e14, 1e15, 1e19, 1e25, 1e30,
  1e38,
];

/** A length at some edge, of either sign. */
export const oddLength = (draw: Draw): number => draw.pick(LENGTHS) * (draw.chance(0.4) ? -1 : 1);

/** Any value of any type. */
export function oddValue(draw: Draw): unknown {
  const kind = draw.int(0, 9);
  if (kind < 4) return oddNumber(draw);
  if (kind < 6) return draw.pick<unknown>([null, true, false, [], {}, [[]], [null], [{}], [0]]);
  if (kind < 8) return oddText(draw);
  if (kind === 8) return Array.from({ length: draw.int(1, 40) }, () => oddNumber(draw));
  return raw(deepText(draw));
}

const TEXTS = [
  '',
  ' ',
  'POSITION',
  'SCALAR',
  '2.0',
  '0',
  '__proto__',
  'constructor',
  '\u0000',
  '\u001b[31m',
  '\u202egib',
  '\ud83e',
  '/',
  '~1',
  '=1+1',
  '</script>',
  ']]>',
  'a\r\nb',
  '%',
  '..',
  'data:,',
] as const;

export function oddText(draw: Draw): string {
  const text = draw.pick(TEXTS);
  return draw.chance(0.1) ? `${text}lantern`.repeat(draw.int(1, 20_000)) : text;
}

/** Lists or objects inside each other; the deepest are past what a parser's stack holds. */
function deepText(draw: Draw): string {
  const depth = draw.pick([10, 500, 5_000, 100_000]);
  const [open, close] = draw.pick([
    ['[', ']'],
    ['{"children":', '}'],
  ] as const);
  return `${open.repeat(depth)}0${close.repeat(depth)}`;
}
