import { type Box, boxAround } from '../rig/box.js';
import { dot, subtract, type Vec3 } from '../rig/vec3.js';

export type ViewName = 'front' | 'side' | 'top';

/** A direction that a rig is looked at from, without perspective. Unit vectors, world space. */
export interface View {
  readonly name: ViewName;
  readonly title: string;
  /** What goes to the right of the picture. */
  readonly right: Vec3;
  readonly up: Vec3;
  /** What comes towards the viewer. */
  readonly toward: Vec3;
}

/** World space is that of glTF 2.0 (3.4, Coordinate System and Units): +Y up, the front faces +Z. */
export const VIEWS: readonly [View, View, View] = [
  {
    name: 'front',
    title: 'Front, seen from +Z',
    right: [1, 0, 0],
    up: [0, 1, 0],
    toward: [0, 0, 1],
  },
  {
    name: 'side',
    title: 'Side, seen from +X',
    right: [0, 0, -1],
    up: [0, 1, 0],
    toward: [1, 0, 0],
  },
  { name: 'top', title: 'Top, seen from +Y', right: [1, 0, 0], up: [0, 0, -1], toward: [0, 1, 0] },
];

/** How world space comes onto the picture: the centre to 0, 0, right and down positive. */
export interface Projection {
  readonly view: View;
  readonly centre: Vec3;
  /** Picture units a world unit. */
  readonly scale: number;
}

export type Point = readonly [number, number];

/** Where a point comes to lie, picture units; x to the right, y down. */
export function project({ view, centre, scale }: Projection, point: Vec3): Point {
  const from = subtract(point, centre);
  return [dot(from, view.right) * scale, -dot(from, view.up) * scale];
}

/** A direction's part in the picture plane, by the length of the direction. */
export function projectDirection({ view }: Pick<Projection, 'view'>, along: Vec3): Point {
  return [dot(along, view.right), -dot(along, view.up)];
}

/** The box around all finite points; a unit box about nothing. */
export function boundsOf(points: Iterable<Vec3>): Box {
  const { min, max } = boxAround(drawable(points));
  return min[0] <= max[0] ? { min, max } : { min: [-0.5, -0.5, -0.5], max: [0.5, 0.5, 0.5] };
}

function* drawable(points: Iterable<Vec3>): Generator<Vec3> {
  for (const point of points) if (isDrawable(point)) yield point;
}

/** Farther out, sums and products are no numbers any more. World units. */
const FARTHEST = 1e30;

/** Whether a point is anywhere that can be drawn. */
export function isDrawable(point: Vec3): boolean {
  return point.every((value) => Math.abs(value) <= FARTHEST);
}

export function centreOf({ min, max }: Box): Vec3 {
  return [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2];
}

/** Width and height of a box as a view shows it, world units. */
export function shownSize({ min, max }: Box, { right, up }: View): Point {
  const extent = subtract(max, min);
  return [Math.abs(dot(extent, right)), Math.abs(dot(extent, up))];
}

/** The factor by which something comes to fit a room; Infinity for what has no size. */
export function fitFactor([width, height]: Point, [across, down]: Point): number {
  return Math.min(across > 0 ? width / across : Infinity, down > 0 ? height / down : Infinity);
}

/**
 * Picture units a world unit, the same for all views: the widths of all of them side by side fit
 * `width`, and the highest `height`. A box without any size gets a scale of 1.
 */
export function commonScale(bounds: Box, width: number, height: number): number {
  const sizes = VIEWS.map((view) => shownSize(bounds, view));
  const widths = sizes.reduce((sum, [across]) => sum + across, 0);
  const highest = sizes.reduce((most, [, down]) => Math.max(most, down), 0);
  const fit = fitFactor([width, height], [widths, highest]);
  return Number.isFinite(fit) ? fit : 1;
}
