import type { SkinnedPart } from '../rig/types.js';
import { fact } from './facts.js';
import { skinMass } from './skin-mass.js';

/** A vertex hangs on one joint alone when its weight there is at least this. */
const WHOLE = 0.99;

/**
 * 1 where every vertex a joint moves hangs on it alone: a rigid piece, as of a machine or a toy, which
 * bends nothing. 0 where it moves none. A leftover weight below the floor of what moves skin does not
 * count against it.
 */
export const rigidJoints = fact((facts): Uint8Array => {
  const { rig } = facts;
  const { moves } = skinMass(facts);
  const shared = new Uint8Array(rig.joints.count);
  for (const part of rig.parts) {
    const jointOfSlot = rig.skins[part.skin]?.jointOfSlot;
    if (jointOfSlot !== undefined) markShared(part, jointOfSlot, shared);
  }
  return moves.map((own, joint) => (own === 1 && shared[joint] === 0 ? 1 : 0));
});

/** A smaller weight beside a whole one is rounding. */
const LEAST = 0.01;

function markShared(
  { influences, slots, weights }: SkinnedPart,
  jointOfSlot: Int32Array,
  shared: Uint8Array,
): void {
  for (let k = 0; k < weights.length; k++) {
    const weight = weights[k] ?? 0;
    const slot = slots[k] ?? 0;
    if (weight > LEAST && weight < WHOLE && slot < jointOfSlot.length)
      shared[jointOfSlot[slot] ?? 0] = 1;
  }
  if (influences === 0) shared.fill(1);
}
