import { distance } from '../rig/vec3.js';
import type { JointShape } from './rig-shape.js';
import { element, linePath } from './svg.js';
import type { Point } from './view.js';

/** Radius of a joint's dot at most and at least. Picture units. */
const [LARGEST_DOT, SMALLEST_DOT] = [2.4, 0.9];
/** Where joints are in a picture; null for one that is nowhere. */
export type Places = readonly (Point | null)[];

/**
 * Radius of the dots of all views of a rig: half of its bones are longer than 5 radii. `scale` is
 * picture units a world unit.
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

/** Bones as one path of plain lines, from each joint to its parent; empty where none is shown. */
export function drawBones(
  joints: readonly JointShape[],
  places: Places,
  isShown: (joint: number, parent: number, ends: readonly [Point, Point]) => boolean = () => true,
): string {
  const lines = joints.map(({ parent }, joint) => {
    const [from, to] = [places[parent], places[joint]];
    return from && to && isShown(joint, parent, [from, to]) ? linePath([from, to]) : '';
  });
  const d = lines.join('');
  return d === '' ? '' : element('path', { class: 'drawing-bone', d });
}

/** The dot of a joint, hollow where it moves no skin; `joint` says which, for scripts. */
export function jointDot([cx, cy]: Point, movesSkin: boolean, r: number, joint?: string): string {
  const className = movesSkin ? 'drawing-joint' : 'drawing-joint drawing-hollow';
  return element('circle', { class: className, 'data-joint': joint, cx, cy, r });
}
