import { significant } from '../../kit/figures.js';
import { drawing, element, linePath, textElement } from '../svg.js';
import { shortName } from '../text-size.js';
import type { Point } from '../view.js';

/** What the times of one clip show at most: seconds, and shares of the rig's size. */
export interface PlottedClip {
  readonly name: string;
  readonly samples: readonly { readonly time: number; readonly share: number }[];
}

const [WIDTH, HEIGHT] = [340, 150];
/** Room for the words at the left and below. */
const [LEFT, RIGHT, TOP, BOTTOM] = [84, 10, 12, 24];
const LETTER = 11;
/** Points of a line; of those that fall together the largest is drawn. */
const MOST_POINTS = 300;
/** Powers of ten below the limit that are shown: what is less is drawn on the floor. */
const DECADES = 3;

/**
 * The largest difference of a clip over time, against the limit, on a scale of powers of ten.
 *
 * @param limit Share of the rig's size.
 */
export function drawProofPlot({ name, samples }: PlottedClip, limit: number): string {
  const end = samples.at(-1)?.time ?? 0;
  const most = samples.reduce((sum, { share }) => Math.max(sum, share), 0);
  // What is no number is drawn at the top.
  const top = Math.ceil(Math.log10(Math.min(1, Math.max(most, limit)) / limit) + 0.5);
  const floor = -DECADES;
  const yOf = (share: number): number => {
    const power = Math.max(floor, Math.min(top, Math.log10(share / limit)));
    return TOP + ((top - power) / (top - floor)) * (HEIGHT - TOP - BOTTOM);
  };
  const xOf = (time: number): number =>
    LEFT + (end > 0 ? time / end : 0.5) * (WIDTH - LEFT - RIGHT);
  const points = thinned(samples).map(({ time, share }): Point => [xOf(time), yOf(share)]);
  const worst = samples.find(({ share }) => share === most);
  const across = { x1: LEFT, x2: WIDTH - RIGHT };
  const decades = Array.from({ length: top - floor + 1 }, (_, at) => floor + at);
  const words = decades.map((power) => {
    const y = yOf(limit * 10 ** power);
    const className = power === 0 ? 'drawing-limit' : 'drawing-rule';
    return element('line', { class: className, ...across, y1: y, y2: y }).concat(
      textElement(
        LEFT - 6,
        y + 4,
        power === 0 ? 'drawing-limit-word' : 'drawing-quiet',
        percentAt(limit, power),
        {
          'font-size': LETTER,
          'text-anchor': 'end',
        },
      ),
    );
  });
  const label = `Largest difference over the time of the clip ${shortName(name)}: at most ${percentAt(most, 0)} of size, limit ${percentAt(limit, 0)}`;
  const second = (time: number): string => `${significant(time)} s`;
  const size = { 'font-size': LETTER };
  return drawing(
    'plot',
    label,
    [0, 0, WIDTH, HEIGHT],
    ...words,
    points.length === 0 ? '' : element('path', { class: 'drawing-solid', d: lineOf(points) }),
    worst === undefined
      ? ''
      : element('circle', { class: 'drawing-joint', cx: xOf(worst.time), cy: yOf(most), r: 3 }),
    textElement(WIDTH - RIGHT, yOf(limit) - 5, 'drawing-limit-word', 'limit', {
      ...size,
      'text-anchor': 'end',
    }),
    textElement(LEFT, HEIGHT - 6, 'drawing-quiet', end > 0 ? '0 s' : '', size),
    textElement(
      WIDTH - RIGHT,
      HEIGHT - 6,
      'drawing-quiet',
      end > 0 ? second(end) : 'one time only',
      {
        ...size,
        'text-anchor': 'end',
      },
    ),
  );
}

/** Size of a plot, for those who lay out several. Picture units. */
export const PLOT_SIZE = { width: WIDTH, height: HEIGHT };

/** A share in percent, times a power of ten, without an exponent. */
function percentAt(share: number, power: number): string {
  return `${significant(100 * share * 10 ** power)} %`;
}

/** A clip of one key is a short stroke. */
function lineOf(points: readonly Point[]): string {
  const [first] = points;
  if (points.length > 1 || first === undefined) return linePath(points);
  return linePath([
    [first[0] - 4, first[1]],
    [first[0] + 4, first[1]],
  ]);
}

function thinned(samples: PlottedClip['samples']): PlottedClip['samples'] {
  const step = samples.length / MOST_POINTS;
  if (step <= 1) return samples;
  return Array.from({ length: MOST_POINTS }, (_, at) => {
    const part = samples.slice(Math.floor(at * step), Math.floor((at + 1) * step));
    return part.reduce((most, one) => (one.share > most.share ? one : most));
  });
}
