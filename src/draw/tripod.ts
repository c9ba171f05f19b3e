import type { Vec3 } from '../rig/vec3.js';
import { type Box, boxAbout, overlap, type Placement } from './placement.js';
import { element, textElement } from './svg.js';
import { type Point, type Projection, projectDirection } from './view.js';

/** Length of a tripod's axes, and size of its letters. Picture units. */
type TripodSize = Readonly<Record<'length' | 'letter', number>>;

/** A shorter axis points at the viewer or away; its letter may go anywhere beside. Share of its length. */
const SHORTEST = 0.3;
/** Directions in which the letter of such an axis may be placed. */
const DIRECTIONS = 12;

/**
 * A joint's local axes with their letters, or null where one of the letters finds no room: colour is
 * never the only sign of an axis.
 */
export function drawTripod(
  axes: readonly [Vec3, Vec3, Vec3],
  joint: Point,
  projection: Projection,
  size: TripodSize,
  placement: Placement,
) {
  const ends = axes.map((axis): Point => {
    const [x, y] = projectDirection(projection, axis);
    return [x * size.length, y * size.length];
  });
  // All three or none: no box is taken before each letter has one.
  const labels: Box[] = [];
  const spots: Point[] = [];
  const longestFirst = [0, 1, 2].sort((a, b) => lengthOf(ends[b]) - lengthOf(ends[a]));
  for (const axis of longestFirst) {
    const boxOf = ([x, y]: Point): Box =>
      boxAbout(joint[0] + x, joint[1] + y, 0.86 * size.letter, size.letter);
    const spot = letterSpots(ends[axis] ?? [0, 0], ends, size).find((point) => {
      const box = boxOf(point);
      return placement.isFree(box) && !labels.some((other) => overlap(other, box));
    });
    if (spot === undefined) return null;
    spots[axis] = spot;
    labels.push(boxOf(spot));
  }
  for (const box of labels) placement.take(box);
  const [x1, y1] = joint;
  const lines = ends.map(([x, y], axis) => {
    const className = `drawing-axis drawing-${'xyz'[axis]}`;
    return element('line', { class: className, x1, y1, x2: x1 + x, y2: y1 + y });
  });
  const letters = spots.map(([x, y], axis) => {
    const className = `drawing-letter drawing-${'xyz'[axis]}`;
    const down = y1 + y + 0.36 * size.letter;
    return textElement(x1 + x, down, className, 'XYZ'[axis] ?? '', { 'font-size': size.letter });
  });
  return {
    svg: element('g', {}, ...lines, ...letters),
    ends: ends.map(([x, y]): Point => [x1 + x, y1 + y]),
    /** Boxes of the letters. */
    labels,
  };
}

function lengthOf([x, y]: Point = [0, 0]): number {
  return Math.hypot(x, y);
}

/** Where the letter of an axis may go, the best first, from the joint. */
function letterSpots(end: Point, all: readonly Point[], { length, letter }: TripodSize): Point[] {
  const seen = lengthOf(end);
  if (seen < SHORTEST * length) {
    const others = all.filter((other) => lengthOf(other) >= SHORTEST * length);
    const turns = Array.from({ length: DIRECTIONS }, (_, index): Point => {
      const angle = (2 * Math.PI * (index + 0.5)) / DIRECTIONS;
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
