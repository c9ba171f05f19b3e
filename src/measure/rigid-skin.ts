import type { Facts } from './facts.js';
import { skinMass } from './skin-mass.js';

/** A vertex hangs on one joint alone from this weight on: integer weights lose a step or two. */
const ALONE = 0.99;

/**
 * Whether a joint's skin is a hard piece: every vertex it moves hangs on it alone. Nothing of it bends,
 * wherever the joint stands (a hull, a lid, a wheel).
 */
export function isRigid(facts: Facts, joint: number): boolean {
  return facts.rig.parts.every(({ skin, weights, slots, influences }) => {
    const slot = facts.rig.skins[skin]?.slotOfJoint[joint] ?? -1;
    if (slot === -1) return true;
    for (let k = 0; k < weights.length; k++) {
      const weight = weights[k] ?? 0;
      if (slots[k] !== slot || !(weight > 1 - ALONE) || weight >= ALONE) continue;
      // A joint that is listed twice on a vertex may have all of it.
      let sum = 0;
      const first = k - (k % influences);
      for (let i = first; i < first + influences; i++)
        if (slots[i] === slot) sum += weights[i] ?? 0;
      if (sum < ALONE) return false;
    }
    return true;
  });
}

/** A joint with less of the rig's skin than this bends none of it. Share of the rig's skin mass. */
const SMALL_SHARE = 0.005;
/** Unless it has more than this of one vertex. */
const SMALL_WEIGHT = 0.7;

/** Whether all that a joint moves is what was left on it by accident: small weights and few. */
export function isLeftover(facts: Facts, joint: number): boolean {
  const { ofJoint, topWeight } = skinMass(facts);
  const total = ofJoint.reduce((sum, mass) => sum + mass, 0);
  return (topWeight[joint] ?? 0) <= SMALL_WEIGHT && (ofJoint[joint] ?? 0) < SMALL_SHARE * total;
}
