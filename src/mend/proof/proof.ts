import type { RigModel } from '../../rig/types.js';
import type { Looks } from './looks.js';
import { LARGEST_SHIFT, LARGEST_TURN } from './proof-limits.js';
import { RigComparison } from './proof-rig.js';
import { joined, NOTHING, type Proof, type Seen } from './proof-seen.js';

export type { Proof, ProofPlace, Seen } from './proof-seen.js';

/**
 * Skins every vertex of both files in the stored pose and at all sampled times of all clips (each
 * key, and one point between each two), and tells the largest distance between the two. With `looks`,
 * normals and tangents are turned along and compared too, and morph targets are shown: with the weights of
 * the pose, and each at full weight by itself. In clips a bound stands for the vertices where it is far
 * below all that counts (`proof-bounds.ts`). Skinning is that of glTF 2.0 (3.7.3 Skins). Throws Error where
 * the two do not hold the same meshes, which no mend may bring about.
 */
export function proveSame(
  before: RigModel,
  after: RigModel,
  looks: readonly [before: Looks, after: Looks] | null = null,
): Proof {
  let proof = NOTHING;
  before.rigs.forEach((rig, index) => {
    const other = after.rigs[index];
    if (other === undefined) throw new Error(`rig ${index} is gone`);
    proof = joined(proof, new RigComparison([rig, other], looks).prove());
  });
  return proof;
}

/** Whether somebody could see it. */
export function isSeen({ share, turn }: Seen): boolean {
  // Also true for NaN.
  return !(share <= LARGEST_SHIFT && turn <= LARGEST_TURN);
}
