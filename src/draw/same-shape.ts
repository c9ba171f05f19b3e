import { medianOf } from '../measure/fit/skeleton-scale.js';
import { layWhole, NO_TURN, type Pairs, type Standing } from '../measure/fit/whole-turn.js';
import { compose, type Mat4, transformDirection } from '../rig/mat4.js';
import type { Quaternion } from '../rig/quaternion.js';
import { length, subtract } from '../rig/vec3.js';
import { isDrawable } from './view.js';

/** Two skeletons: how one stands, and how the other does, whose joints answer to some of the first. */
export interface Answering {
  readonly from: Standing;
  readonly to: Standing;
  readonly pairs: Pairs;
  /** Parent of each joint of the first, -1 at the top. */
  readonly parents: ArrayLike<number>;
  /** The joint that is held where its answer is, and that answer. */
  readonly held: readonly [number, number];
}

/** How one skeleton is laid over another: x -> k R x + t. */
export interface Laid {
  readonly matrix: Mat4;
  /** k, R. */
  readonly scale: number;
  readonly turn: Quaternion;
}

/**
 * Lays a skeleton over another without bending it. Null where that leads nowhere.
 *
 * @param turns The turns that come into question, no turn first, where these are known.
 */
export function layOnto(
  { from, to, pairs, parents, held }: Answering,
  turns?: readonly Quaternion[],
): Laid | null {
  const answers = new Map(pairs);
  const ratios = pairs.flatMap(([joint, own]) => {
    const parent = parents[joint] ?? -1;
    const [start, end] = [from.places[parent], from.places[joint]];
    const [newStart, newEnd] = [to.places[answers.get(parent) ?? -1], to.places[own]];
    if (!start || !end || !newStart || !newEnd) return [];
    const was = length(subtract(end, start));
    return [{ ratio: length(subtract(newEnd, newStart)) / was, length: was }];
  });
  const scale = medianOf(ratios) ?? 1;
  const turn = layWhole(from, to, pairs, parents, scale, turns).best?.turn ?? NO_TURN;
  const [start, end] = [from.places[held[0]], to.places[held[1]]];
  if (!start || !end || !isDrawable(end)) return null;
  const matrix = compose([0, 0, 0], turn, [scale, scale, scale]);
  matrix.set(subtract(end, transformDirection(matrix, start)), 12);
  return matrix.every(Number.isFinite) ? { matrix, scale, turn } : null;
}
