import { invert, type Mat4, mat4At, multiply, origin } from '../../rig/mat4.js';
import type { RigSkin } from '../../rig/types.js';
import type { Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bindPose, builtMatrices, massBySkin } from './bind-pose.js';
import { near } from './skinning-matrix.js';
import { skinsOfJoint } from './skins-of-joint.js';

/** The joints as their bones were built: for frames and bones. World space, world units. */
interface BonePose {
  /** World matrix of each joint, 16 numbers a joint. */
  readonly world: Float64Array;
  readonly places: readonly Vec3[];
  /** 1 where no skin lists both a joint and its parent: the bone between them was built in none. */
  readonly apart: Uint8Array;
}

/**
 * Each joint against its parent as in one skin that lists both. Two skins can be bound in different
 * poses: a bone from a parent placed by one to a joint placed by the other is in no model. Down the
 * tree, so that all bones of a chain connect: W_j = W_parent (B_parent B_j^-1), with B the inverse
 * bind matrices of that skin. Where all skins agree, this is the bind pose itself.
 */
export const bonePose = fact((facts): BonePose => {
  const { rig } = facts;
  const direct = bindPose(facts);
  const apart = new Uint8Array(rig.joints.count);
  const asBound = { world: direct.world, places: direct.places, apart };
  if (rig.skins.length < 2) return asBound;
  let world = direct.world;
  for (let joint = 0; joint < rig.joints.count; joint++) {
    const parent = rig.joints.parent[joint] ?? -1;
    if (parent === -1) continue;
    const ofBoth = (skinsOfJoint(facts)[joint] ?? []).filter((place) => {
      return (rig.skins[place]?.slotOfJoint[parent] ?? -1) !== -1;
    });
    if (ofBoth.length === 0) apart[joint] = 1;
    const relative = builtAgainst(facts, ofBoth, parent, joint);
    if (relative === null) continue;
    const placed = multiply(mat4At(world, parent), relative);
    if (near(placed, mat4At(world, joint))) continue;
    if (world === direct.world) world = world.slice();
    world.set(placed, 16 * joint);
  }
  if (world === direct.world) return asBound;
  return { world, places: direct.places.map((_, joint) => origin(mat4At(world, joint))), apart };
});

/** How a joint was built against its parent, in the one of their skins in which it has most mass. */
function builtAgainst(
  facts: Facts,
  ofBoth: readonly number[],
  parent: number,
  joint: number,
): Mat4 | null {
  let best: { readonly skin: RigSkin; readonly index: number; readonly mass: number } | null = null;
  for (const index of ofBoth) {
    const skin = facts.rig.skins[index];
    if (skin === undefined || skin.matrixCount === null) continue;
    const massOf = massBySkin(facts)[index];
    const mass = massOf?.get(joint) || (massOf?.get(parent) ?? 0) * LIGHTER;
    if (best === null || mass > best.mass) best = { skin, index, mass };
  }
  if (best === null) return null;
  const built = builtMatrices(facts)[best.index];
  const below = built?.[best.skin.slotOfJoint[joint] ?? -1];
  const above = built?.[best.skin.slotOfJoint[parent] ?? -1];
  const back = above && invert(above);
  return below && back ? multiply(back, below) : null;
}

/** A skin that has only the parent's skin counts for less than any that has the joint's. */
const LIGHTER = 1e-6;
