import { medianOf } from '../measure/fit/skeleton-scale.js';
import { type Mat4, transformDirection } from '../rig/mat4.js';
import { direction, length, subtract, type Vec3 } from '../rig/vec3.js';
import { isDrawable } from './view.js';
import { wholeTurn } from './whole-turn.js';

/** Two skeletons: where the joints of one stand, and those that answer to them in the other. */
export interface Answering {
  readonly from: readonly Vec3[];
  /** Undefined for a joint that has no answer. */
  readonly to: readonly (Vec3 | undefined)[];
  /** Parent of each joint of the first, -1 at the top. */
  readonly parents: ArrayLike<number>;
  /** The joint that is held where its answer is. */
  readonly held: number;
}

/** How one skeleton is laid over another: x -> k R x + t. */
export interface Laid {
  readonly matrix: Mat4;
  /** k, R. */
  readonly scale: number;
  readonly turn: Mat4;
}

/**
 * Lays a skeleton over another without bending it. Null where that leads nowhere.
 *
 * @param among The turns that come into question, where these are known.
 */
export function layOnto(
  { from, to, parents, held }: Answering,
  among?: readonly Mat4[],
): Laid | null {
  const bones = from.flatMap((end, joint) => {
    const [start, newStart, newEnd] = [
      from[parents[joint] ?? -1],
      to[parents[joint] ?? -1],
      to[joint],
    ];
    if (!start || !newStart || !newEnd) return [];
    return [{ before: subtract(end, start), after: subtract(newEnd, newStart) }];
  });
  const ratios = bones.map(({ before, after }) => {
    const was = length(before);
    return { ratio: length(after) / was, length: was };
  });
  const scale = medianOf(ratios) ?? 1;
  const turn = wholeTurn(
    bones.flatMap(({ before, after }) => {
      const [was, is] = [direction(before), direction(after)];
      return was && is ? [[was, is] as const] : [];
    }),
    among,
  );
  const [start, end] = [from[held], to[held]];
  if (!start || !end || !isDrawable(end)) return null;
  const matrix = turn.map((value, index) => (index < 12 ? scale * value : value));
  matrix.set(subtract(end, transformDirection(matrix, start)), 12);
  return matrix.every(Number.isFinite) ? { matrix, scale, turn } : null;
}
