import { distance } from '../rig/vec3.js';
import type { JointShape } from './rig-shape.js';
import { element, linePath } from './svg.js';
import type { Point } from './view.js';

/** Radius of a joint's dot at most and at least. Picture units. */
const LARGEST_DOT = 2.4;
const SMALLEST_DOT = 0.9;

/**
 * Radius of the dots of all views of a rig, smaller where bones are short: half of them are longer than
 * 5 radii.
 *
 * @param scale Picture units a world unit.
 */
export function dotRadius(joints: readonly JointShape[], scale: number): number {
  const lengths = joints
    .flatMap(({ parent, place }) => {
      const above = joints[parent]?.place ?? null;
      return above === null || place === null ? [] : [scale * distance(above, place)];
    })
    .sort((a, b) => a - b);
  const middle = lengths[Math.floor(lengths.length / 2)] ?? Infinity;
  return Math.max(SMALLEST_DOT, Math.min(LARGEST_DOT, middle / 5));
}

/** Bones as one path of plain lines, from each joint to its parent. */
export function drawBones(
  joints: readonly JointShape[],
  placeOf: (joint: number) => Point | null,
): string {
  return bonePath(
    joints.map(({ parent }, joint) => {
      const [from, to] = [parent === -1 ? null : placeOf(parent), placeOf(joint)];
      return from === null || to === null ? '' : linePath([from, to]);
    }),
  );
}

/** One path of some lines; nothing for none. */
export function bonePath(lines: readonly string[]): string {
  const d = lines.join('');
  return d === '' ? '' : element('path', { class: 'drawing-bone', d });
}

/** Dots of joints, hollow where a joint moves no skin. */
export function drawDots(
  joints: readonly JointShape[],
  placeOf: (joint: number) => Point | null,
  radius: number,
): string {
  return joints
    .map(({ movesSkin }, joint) => {
      const place = placeOf(joint);
      return place === null ? '' : jointDot(place, movesSkin, radius, String(joint));
    })
    .join('');
}

/** The dot of a joint; `joint` says which, for scripts. */
export function jointDot([cx, cy]: Point, movesSkin: boolean, r: number, joint?: string): string {
  const className = movesSkin ? 'drawing-joint' : 'drawing-joint drawing-hollow';
  return element('circle', { class: className, 'data-joint': joint, cx, cy, r });
}
