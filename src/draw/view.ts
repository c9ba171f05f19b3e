import { type Box, boxAround } from '../rig/box.js';
import { cross, dot, subtract, type Vec3 } from '../rig/vec3.js';

/** A direction that a rig is looked at from, without perspective. Unit vectors, world space. */
export interface View {
  readonly name: 'front' | 'side' | 'top';
  readonly title: string;
  /** To the right in the picture. */
  readonly right: Vec3;
  readonly up: Vec3;
  /** Towards the viewer. */
  readonly toward: Vec3;
}

/** World space as in glTF 2.0 (3.4, Coordinate System and Units): +Y up, the front faces +Z. */
export const VIEWS: readonly [View, View, View] = [
  viewFrom('front', 'Front, seen from +Z', [1, 0, 0], [0, 1, 0]),
  viewFrom('side', 'Side, seen from +X', [0, 0, -1], [0, 1, 0]),
  viewFrom('top', 'Top, seen from +Y', [1, 0, 0], [0, 0, -1]),
];

function viewFrom(name: View['name'], title: string, right: Vec3, up: Vec3): View {
  return { name, title, right, up, toward: cross(right, up) };
}

/** From world space to the picture: the centre to 0, 0, right and down positive. */
export interface Projection {
  readonly view: View;
  readonly centre: Vec3;
  /** Picture units a world unit. */
  readonly scale: number;
}

export type Point = readonly [number, number];

/** A point in the picture, picture units; x to the right, y down. */
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
  const box = boxAround(drawable(points));
  return box.min[0] <= box.max[0] ? box : { min: [-0.5, -0.5, -0.5], max: [0.5, 0.5, 0.5] };
}

function* drawable(points: Iterable<Vec3>): Generator<Vec3> {
  for (const point of points) if (isDrawable(point)) yield point;
}

/** Farther out, sums and products overflow. World units. */
const FARTHEST = 1e30;

/** Whether a point can be drawn. */
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

/** The factor that makes something fit a room; `none` for what has no size. */
export function fitFactor([width, height]: Point, [across, down]: Point, none = 1): number {
  const fit = Math.min(across > 0 ? width / across : Infinity, down > 0 ? height / down : Infinity);
  return Number.isFinite(fit) ? fit : none;
}
