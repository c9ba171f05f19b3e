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
export type CurlView = NonNullable<ReturnType<typeof viewCurl>>;

/** Along the chord of the right curl, across it in its plane, and out of the plane; world units. */
export type CurlPoint = readonly [along: number, across: number, off: number];

/** Curls that differ by less are shown about up, so that both sides of a rig look alike. Share. */
const TIE = 1e-4;

/** The curl about the axes that are asked for, else about those about which it strays more; null for a chain without length. */
export function viewCurl({ about }: SceneChain, asked: 'up' | 'side' | null = null) {
  const drifts = { up: measureDrift(about.up), side: measureDrift(about.side) };
  const which = asked ?? (drifts.side.drift > drifts.up.drift * (1 + TIE) ? 'side' : 'up');
  const { own, ideal } = about[which];
  const [first, last] = [ideal.points[0], ideal.points.at(-1)];
  const chord = first && last ? direction(subtract(last, first)) : null;
  if (first === undefined || chord === null) return null;
  const normal = direction(cross(chord, cross(planeNormal(ideal.points, chord), chord)));
  if (normal === null) return null;
  const across = cross(normal, chord);
  const seen = (point: Vec3): CurlPoint => {
    const from = subtract(point, first);
    return [dot(from, chord), dot(from, across), dot(from, normal)];
  };
  return {
    about: which,
    ...drifts[which],
    own: own.points.map(seen),
    ideal: ideal.points.map(seen),
  };
}

/** The largest distance of a joint from its right place / the chain's length, and which joint it is. */
function measureDrift({ own, ideal }: SceneChain['about']['up']) {
  let [gap, worst, length] = [0, 0, 0];
  ideal.points.forEach((point, place) => {
    const here = distance(point, own.points[place] ?? point);
    if (here > gap) [gap, worst] = [here, place];
    length += distance(point, ideal.points[place - 1] ?? point);
  });
  return { drift: length > 0 ? gap / length : 0, worst };
}

/**
 * Normal of the plane in which a closed run of points has its largest area (Newell's method:
 * Sutherland, Sproull and Schumacker 1974, "A characterization of ten hidden-surface algorithms").
 * Points in a line give any plane through it.
 */
function planeNormal(points: readonly Vec3[], along: Vec3): Vec3 {
  const [first = [0, 0, 0]] = points;
  let sum: Vec3 = [0, 0, 0];
  points.forEach((point, index) => {
    const next = points[(index + 1) % points.length] ?? point;
    sum = add(sum, cross(subtract(point, first), subtract(next, first)));
  });
  const size = points.reduce((most, point) => Math.max(most, distance(point, first)), 0);
  const flat = Math.hypot(...sum) <= 1e-9 * size * size;
  return (flat ? null : direction(sum)) ?? perpendicular(along);
}
