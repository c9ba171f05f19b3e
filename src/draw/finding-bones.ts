import { bonePath, jointDot } from './bones.js';
import type { JointShape } from './rig-shape.js';
import { linePath } from './svg.js';
import type { Point } from './view.js';

/** Radius of a joint's dot in the picture of a finding. Picture units. */
export const FINDING_DOT = 3;

/** Joints that such a picture shows, and bones that only pass through it: more would hide each other. */
const MOST_JOINTS = 80;
const MOST_PASSING = 40;

/** Joints within a picture, those nearest to its middle, in joint order. */
export function nearJoints(places: readonly (Point | null)[], [width, height]: Point): number[] {
  const inside = places.flatMap((place, joint) => {
    if (place === null) return [];
    const [x, y] = place;
    if (x < 0 || y < 0 || x > width || y > height) return [];
    return [{ joint, gap: Math.hypot(x - width / 2, y - height / 2) }];
  });
  return inside
    .sort((a, b) => a.gap - b.gap || a.joint - b.joint)
    .slice(0, MOST_JOINTS)
    .map(({ joint }) => joint)
    .sort((a, b) => a - b);
}

/** Bones of the joints near, and some of those that pass. */
export function bonesNear(
  joints: readonly JointShape[],
  places: readonly (Point | null)[],
  near: readonly number[],
  size: Point,
): string {
  const kept = new Set(near);
  let passing = 0;
  return bonePath(
    joints.map(({ parent }, joint) => {
      const [from, to] = [places[parent] ?? null, places[joint] ?? null];
      if (from === null || to === null || !mayShow(from, to, size)) return '';
      if (!kept.has(joint) && !kept.has(parent) && ++passing > MOST_PASSING) return '';
      return linePath([from, to]);
    }),
  );
}

/** Whether the box around a bone reaches into the picture. */
function mayShow(from: Point, to: Point, [width, height]: Point): boolean {
  return (
    Math.min(from[0], to[0]) < width &&
    Math.max(from[0], to[0]) > 0 &&
    Math.min(from[1], to[1]) < height &&
    Math.max(from[1], to[1]) > 0
  );
}

export function dotsNear(
  joints: readonly JointShape[],
  places: readonly (Point | null)[],
  near: readonly number[],
): string {
  return near
    .map((joint) =>
      jointDot(places[joint] ?? [0, 0], joints[joint]?.movesSkin !== false, FINDING_DOT),
    )
    .join('');
}
