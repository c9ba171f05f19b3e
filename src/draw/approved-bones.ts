import type { Places } from './bones.js';
import type { RigShape } from './rig-shape.js';
import { element, linePath } from './svg.js';
import type { Point } from './view.js';

type ApprovedShape = NonNullable<RigShape['approved']>;

/** Half the width of the square at a joint that stands elsewhere. Picture units. */
const HALF = 2.6;

/**
 * The approved rig under the bones of the one that is compared with it: dashed, wider than bones, so
 * that it shows under them; with a square at each joint of it that the rig has elsewhere or not at all.
 * `places` are those of its joints in the picture.
 */
export function drawApproved(
  { parents, apart }: ApprovedShape,
  places: Places,
  isShown: (ends: readonly [Point, Point]) => boolean = () => true,
): string {
  const lines = parents.map((parent, joint) => {
    const [from, to] = [places[parent], places[joint]];
    return from && to && isShown([from, to]) ? linePath([from, to]) : '';
  });
  const squares = apart.map((joint) => {
    const place = places[joint];
    return place && isShown([place, place]) ? squarePath(place) : '';
  });
  return approvedLines(lines.join('')) + approvedSquares(squares.join(''));
}

/** The sign of a bone of the approved rig and of a joint of it, for a legend. */
export const APPROVED_SIGNS = {
  bone: approvedLines(
    linePath([
      [0, 12],
      [14, 3],
    ]),
  ),
  joint: approvedSquares(squarePath([6, 8])),
};

function approvedLines(d: string): string {
  return d === '' ? '' : element('path', { class: 'drawing-approved', d });
}

function approvedSquares(d: string): string {
  return d === '' ? '' : element('path', { class: 'drawing-approved-joint', d });
}

function squarePath([x, y]: Point): string {
  const corners: Point[] = [
    [x - HALF, y - HALF],
    [x + HALF, y - HALF],
    [x + HALF, y + HALF],
    [x - HALF, y + HALF],
  ];
  return `${linePath(corners)}Z`;
}
