import {
  add,
  cross,
  direction,
  distance,
  dot,
  perpendicular,
  subtract,
  type Vec3,
} from '../rig/vec3.js';
import type { SceneChain } from './scene.js';

/** A chain curled as it is and as it should, seen along the plane of the right curl and onto it. */
export interface CurlView {
  readonly about: 'up' | 'side';
  /** Largest distance of a joint from where it should be / length of the chain. */
  readonly drift: number;
  /** Place in the chain of the joint that strays farthest. */
  readonly worst: number;
  readonly own: readonly CurlPoint[];
  readonly ideal: readonly CurlPoint[];
}

/** Along the chord of the right curl, across it in its plane, and out of the plane; world units. */
export type CurlPoint = readonly [along: number, across: number, off: number];

/** Two curls as far astray to this share are told about the up axes, on both sides of a rig alike. */
const TIE = 1e-4;

/** The curl that strays more, about the up or about the side axes; null for a chain without length. */
export function viewCurl({ about }: SceneChain): CurlView | null {
  const up = measure(about.up.own.points, about.up.ideal.points);
  const side = measure(about.side.own.points, about.side.ideal.points);
  const which = side.drift > up.drift * (1 + TIE) ? 'side' : 'up';
  const { own, ideal } = about[which];
  const [first, last] = [ideal.points[0], ideal.points.at(-1)];
  const chord = first && last ? direction(subtract(last, first)) : null;
  if (first === undefined || chord === null) return null;
  const normal = direction(cross(chord, cross(planeNormal(ideal.points, chord), chord)));
  if (normal === null) return null;
  const across = cross(normal, chord);
  const seen = (points: readonly Vec3[]): CurlPoint[] =>
    points.map((point) => {
      const from = subtract(point, first);
      return [dot(from, chord), dot(from, across), dot(from, normal)];
    });
  const { drift, worst } = which === 'side' ? side : up;
  return { about: which, drift, worst, own: seen(own.points), ideal: seen(ideal.points) };
}

function measure(own: readonly Vec3[], ideal: readonly Vec3[]): { drift: number; worst: number } {
  let [gap, worst, length] = [0, 0, 0];
  ideal.forEach((point, place) => {
    const here = distance(point, own[place] ?? point);
    if (here > gap) [gap, worst] = [here, place];
    if (place > 0) length += distance(point, ideal[place - 1] ?? point);
  });
  return { drift: length > 0 ? gap / length : 0, worst };
}

/**
 * Normal of the plane in which a closed run of points has its largest area (Newell's method:
 * Sutherland, Sproull and Schumacker 1974, "A characterization of ten hidden-surface algorithms").
 * Points in a line have every plane through it.
 */
function planeNormal(points: readonly Vec3[], along: Vec3): Vec3 {
  const [first = [0, 0, 0]] = points;
  let sum: Vec3 = [0, 0, 0];
  points.forEach((point, at) => {
    const next = points[(at + 1) % points.length] ?? point;
    sum = add(sum, cross(subtract(point, first), subtract(next, first)));
  });
  const size = points.reduce((most, point) => Math.max(most, distance(point, first)), 0);
  const flat = Math.hypot(...sum) <= 1e-9 * size * size;
  return (flat ? null : direction(sum)) ?? perpendicular(along);
}
