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

/** A box along the axes of world space. */
export interface Bounds {
  readonly min: Vec3;
  readonly max: Vec3;
}

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
export function boundsOf(points: Iterable<Vec3>): Bounds {
  const min: [number, number, number] = [Infinity, Infinity, Infinity];
  const max: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  for (const point of points) {
    if (!isDrawable(point)) continue;
    for (const axis of [0, 1, 2] as const) {
      min[axis] = Math.min(min[axis], point[axis]);
      max[axis] = Math.max(max[axis], point[axis]);
    }
  }
  return min[0] <= max[0] ? { min, max } : { min: [-0.5, -0.5, -0.5], max: [0.5, 0.5, 0.5] };
}

/** Farther out, sums and products are no numbers any more. World units. */
const FARTHEST = 1e30;

/** Whether a point is anywhere that can be drawn. */
export function isDrawable(point: Vec3): boolean {
  return point.every((value) => Math.abs(value) <= FARTHEST);
}

export function centreOf({ min, max }: Bounds): Vec3 {
  return [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2];
}

/** Width, height and depth of a box, world units. */
export function extentOf({ min, max }: Bounds): Vec3 {
  return subtract(max, min);
}

/** Width and height of a box as a view shows it, world units. */
export function shownSize(bounds: Bounds, { right, up }: View): Point {
  const extent = extentOf(bounds);
  return [Math.abs(dot(extent, right)), Math.abs(dot(extent, up))];
}

/**
 * Picture units a world unit, the same for all views: the widths of all of them side by side fit
 * `width`, and the highest `height`. A box without any size gets a scale of 1.
 */
export function commonScale(bounds: Bounds, width: number, height: number): number {
  const sizes = VIEWS.map((view) => shownSize(bounds, view));
  const widths = sizes.reduce((sum, [across]) => sum + across, 0);
  const highest = sizes.reduce((most, [, down]) => Math.max(most, down), 0);
  const fit = Math.min(
    widths > 0 ? width / widths : Infinity,
    highest > 0 ? height / highest : Infinity,
  );
  return Number.isFinite(fit) ? fit : 1;
}
