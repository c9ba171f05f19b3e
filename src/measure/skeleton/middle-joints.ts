import type { Facts } from '../facts.js';
import { midline } from '../geometry/midline.js';
import { mappedSides } from '../names/humanoid.js';
import { bindPose } from '../pose/bind-pose.js';
import { skinCentreBelow } from '../skin/skin-centre.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot } from './body-root.js';
import { pairs } from './pairs.js';

/**
 * Joints that belong in the middle, carriers left out: they move skin, themselves or below, and
 * nothing at or above them is paired or named for a side, or the asset maps them to the middle.
 */
export function middleJoints(facts: Facts): number[] {
  const { parent, count } = facts.rig.joints;
  const { partner, named } = pairs(facts);
  const { movesBelow } = skinMass(facts);
  const mapped = mappedSides(facts);
  const carriers = new Set(bodyRoot(facts).carriers);
  const sided = new Uint8Array(count);
  for (let joint = 0; joint < count; joint++) {
    const isSided =
      partner[joint] !== -1 || named[joint] != null || sided[parent[joint] ?? -1] === 1;
    sided[joint] = isSided && mapped[joint] !== 'middle' ? 1 : 0;
  }
  return [...sided.keys()].filter(
    (joint) => sided[joint] === 0 && movesBelow[joint] === 1 && !carriers.has(joint),
  );
}

/** What hangs to one side has its skin off the midline by this share of its joint's distance. */
const WITH_SKIN = 0.5;

/** Whether a joint off the midline has its skin on that side: a lamp on one hip, a lone feather. */
export function hasSkinOnItsSide(facts: Facts, joint: number): boolean {
  const { x } = midline(facts);
  const off = (bindPose(facts).places[joint]?.[0] ?? x) - x;
  const middle = skinCentreBelow(facts, joint);
  return middle !== null && off !== 0 && (middle[0] - x) / off >= WITH_SKIN;
}
