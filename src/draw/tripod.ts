import type { Vec3 } from '../rig/vec3.js';
import { type Box, boxAbout, overlap, type Placement } from './placement.js';
import { element, textElement } from './svg.js';
import { type Point, type Projection, projectDirection } from './view.js';

/** How large a tripod is drawn. Picture units. */
export interface TripodSize {
  readonly length: number;
  /** Of the letters. */
  readonly letter: number;
}

export interface Tripod {
  readonly svg: string;
  /** Ends of the axes. */
  readonly ends: readonly Point[];
  /** Boxes of the letters. */
  readonly labels: readonly Box[];
}

const LETTERS = ['X', 'Y', 'Z'] as const;

/** An axis shorter than this share of its length points at the viewer or away; its letter goes anywhere beside. */
const SHORTEST = 0.3;

/** Directions that the letter of such an axis may stand in. */
const DIRECTIONS = 12;

/**
 * A joint's local axes with their letters, or null where one of the letters finds no room: colour is
 * never the only sign of an axis.
 */
export function drawTripod(
  axes: readonly [Vec3, Vec3, Vec3],
  at: Point,
  projection: Projection,
  size: TripodSize,
  placement: Placement,
): Tripod | null {
  const ends = axes.map((axis): Point => {
    const [x, y] = projectDirection(projection, axis);
    return [x * size.length, y * size.length];
  });
  // All three or none: they are tried on a picture of their own first.
  const labels: Box[] = [];
  const spots: (Point | null)[] = ends.map(() => null);
  const longestFirst = [0, 1, 2].sort((a, b) => lengthOf(ends[b]) - lengthOf(ends[a]));
  for (const axis of longestFirst) {
    const end = ends[axis] ?? [0, 0];
    const spot = letterSpots(end, ends, size).find(([x, y]) => {
      const box = letterBox(at, [x, y], size);
      return placement.isFree(box) && !labels.some((other) => overlap(other, box));
    });
    if (spot === undefined) return null;
    spots[axis] = spot;
    labels.push(letterBox(at, spot, size));
  }
  for (const box of labels) placement.take(box);
  const lines = ends.map((end, axis) => axisLine(at, end, LETTERS[axis] ?? 'X'));
  const letters = spots.map((spot, axis) => {
    const letter = LETTERS[axis] ?? 'X';
    const [x, y] = spot ?? [0, 0];
    const className = `drawing-letter drawing-${letter.toLowerCase()}`;
    const down = at[1] + y + 0.36 * size.letter;
    return textElement(at[0] + x, down, className, letter, { 'font-size': size.letter });
  });
  const tips = ends.map(([x, y]): Point => [at[0] + x, at[1] + y]);
  return { svg: element('g', {}, ...lines, ...letters), ends: tips, labels };
}

function axisLine([x1, y1]: Point, [dx, dy]: Point, letter: string): string {
  const className = `drawing-axis drawing-${letter.toLowerCase()}`;
  return element('line', { class: className, x1, y1, x2: x1 + dx, y2: y1 + dy });
}

function letterBox([x, y]: Point, [dx, dy]: Point, { letter }: TripodSize): Box {
  return boxAbout(x + dx, y + dy, 0.86 * letter, letter);
}

function lengthOf(end: Point = [0, 0]): number {
  return Math.hypot(end[0], end[1]);
}

/** Where the letter of an axis may stand, the best first, from the joint. */
function letterSpots(end: Point, all: readonly Point[], { length, letter }: TripodSize): Point[] {
  const seen = lengthOf(end);
  if (seen < SHORTEST * length) {
    const others = all.filter((other) => lengthOf(other) >= SHORTEST * length);
    const turns = Array.from({ length: DIRECTIONS }, (_, at): Point => {
      const angle = (2 * Math.PI * (at + 0.5)) / DIRECTIONS;
      return [Math.cos(angle), Math.sin(angle)];
    });
    // Where the other axes are farthest off.
    const nearest = ([x, y]: Point): number =>
      others.reduce((most, [ox, oy]) => Math.max(most, (x * ox + y * oy) / lengthOf([ox, oy])), -1);
    return turns
      .sort((a, b) => nearest(a) - nearest(b))
      .map(([x, y]): Point => [end[0] + letter * 1.1 * x, end[1] + letter * 1.1 * y]);
  }
  const [ux, uy] = [end[0] / seen, end[1] / seen];
  const beyond = seen + 0.72 * letter;
  const aside = 0.9 * letter;
  return [
    [ux * beyond, uy * beyond],
    [ux * seen - uy * aside, uy * seen + ux * aside],
    [ux * seen + uy * aside, uy * seen - ux * aside],
    [ux * (beyond + 0.6 * letter), uy * (beyond + 0.6 * letter)],
    [ux * seen - uy * 1.7 * aside, uy * seen + ux * 1.7 * aside],
    [ux * seen + uy * 1.7 * aside, uy * seen - ux * 1.7 * aside],
  ];
}
