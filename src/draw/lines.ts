import type { Box } from './placement.js';
import type { Point } from './view.js';

/** A straight line from one point to another. */
export type Line = readonly [Point, Point];

function side([a, b]: Line, p: Point): number {
  return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
}

/** Whether two lines cross; not where they only touch. */
export function cross(one: Line, other: Line): boolean {
  return (
    side(one, other[0]) * side(one, other[1]) < 0 && side(other, one[0]) * side(other, one[1]) < 0
  );
}

/** Whether a line runs through a box. */
export function hits(line: Line, { x, y, width, height }: Box): boolean {
  return (
    cross(line, [
      [x, y],
      [x + width, y + height],
    ]) ||
    cross(line, [
      [x + width, y],
      [x, y + height],
    ])
  );
}

/** Nearer than this a line seems to lead to a joint. Picture units. */
const NEAR = 4;

/** Whether a line seems to lead to a point on its way. */
export function passes([a, b]: Line, p: Point): boolean {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const along = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / length;
  return along > NEAR && along < length && Math.abs(side([a, b], p)) / length < NEAR;
}
