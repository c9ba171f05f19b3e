import { decompose, turnDegrees } from '../../rig/decompose.js';
import { determinant3, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import { conjugate, multiplyQuaternions, type Quaternion, turnAxis } from '../../rig/quaternion.js';
import { spreadUp } from '../../rig/tree.js';
import type { ChannelPath, Rig, RigSkin } from '../../rig/types.js';
import { distance, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bodyRoot } from '../skeleton/body-root.js';
import { skinMass } from '../skin/skin-mass.js';
import { bindPose, builtMatrices, isIdentity, massBySkin } from './bind-pose.js';

/** A joint whose own stored transform is off the bind pose, and in which channels. */
export interface PosedJoint {
  readonly joint: number;
  readonly node: number;
  readonly paths: readonly ChannelPath[];
  /** What it was compared with: its parent, a joint further up, or, at the top, another top. */
  readonly against: 'parent' | 'further up' | 'top';
  /** How far its place against the joint above is off. World units. */
  readonly moved: number;
  /** How far its scale is off: the factor that is farthest from 1, less 1. Share. */
  readonly scaled: number;
  /** Its turn against the one as built, about its own axes, right-handed. Null where it has none, or nodes between turn it. */
  readonly turned: { readonly angle: number; readonly about: Vec3 } | null;
  /** Whether it is scaled to nothing, as pieces are that show only at times. */
  readonly vanishes: boolean;
}

/** A joint that is compared with another in one skin that lists both. */
interface Compared extends Pick<PosedJoint, 'joint' | 'against'> {
  /** The joint in the frame of the one above: as built, and as stored. */
  readonly built: Mat4;
  readonly stored: Mat4;
  /** World length of one unit of that frame as stored. */
  readonly unit: number;
}

/** Nearer shifts are alike: rounding must not part twins at the tolerance. */
const ALIKE = 1 + 1e-3;
/** A joint with less of its scale is made to vanish. Share. */
const NOTHING = 1e-3;

/**
 * Joints whose own stored transform, not just their parent's, is off the bind pose by over
 * `tolerance` (world units) within a tenth of size around them. A joint is compared with the
 * nearest joint above it in a skin that lists both, with B_a B_j^-1 as built and W_a^-1 W_j as
 * stored, so that each of the skins that were bound in different poses is compared with its own;
 * the worst of them counts.
 */
export function posedJoints(facts: Facts, tolerance: number): PosedJoint[] {
  const reach = 0.1 * size(facts);
  const worst = new Map<number, { readonly shift: number; readonly compared: Compared }>();
  for (const compared of comparedJoints(facts)) {
    const shift = shiftAround(compared, reach);
    if (shift > tolerance / 2 && shift > (worst.get(compared.joint)?.shift ?? 0))
      worst.set(compared.joint, { shift, compared });
  }
  // All over the tolerance, and those that go on from it in steps of rounding.
  let least = Infinity;
  for (const { shift } of [...worst.values()].sort((a, b) => b.shift - a.shift)) {
    if (!(shift > tolerance) && !(shift * ALIKE >= least)) break;
    least = shift;
  }
  return [...worst.values()]
    .filter(({ shift }) => shift >= least)
    .map(({ compared }) => posedJoint(facts.rig, compared, reach, tolerance))
    .sort((a, b) => a.joint - b.joint);
}

/**
 * How far apart the two transforms of a joint take a point within `reach` of it, at most: the move
 * and what the turn and scale add, in any frames of the two joints. World units.
 */
function shiftAround({ built, stored, unit }: Compared, reach: number): number {
  let [moved, turned] = [0, 0];
  for (let row = 0; row < 3; row++) {
    moved += ((built[12 + row] ?? 0) - (stored[12 + row] ?? 0)) ** 2;
    for (let to = 0; to < 3; to++)
      turned += ((built[4 * to + row] ?? 0) - (stored[4 * to + row] ?? 0)) ** 2;
  }
  return unit * Math.sqrt(moved) + Math.sqrt(turned) * reach;
}

function posedJoint(rig: Rig, compared: Compared, reach: number, tolerance: number): PosedJoint {
  const { joint, against, built, stored, unit } = compared;
  const [a, b] = [decompose(built), decompose(stored)];
  const same = a.rotation.reduce((sum, part, at) => sum + part * (b.rotation[at] ?? 0), 0);
  const turned = 2 * Math.sqrt(Math.max(0, 1 - same * same)) * reach;
  const moved = unit * distance(a.translation, b.translation);
  const scaled = Math.max(...a.scale.map((part, at) => Math.abs((b.scale[at] ?? 1) / part - 1)));
  const vanishes =
    Math.max(...b.scale.map(Math.abs)) < NOTHING * Math.max(...a.scale.map(Math.abs));
  const paths: ChannelPath[] = [];
  if (moved > tolerance) paths.push('translation');
  if (turned > tolerance) paths.push('rotation');
  if (scaled * reach > tolerance) paths.push('scale');
  const about = against === 'parent' ? ownTurn(a.rotation, b.rotation) : null;
  const node = rig.joints.node[joint] ?? 0;
  return { joint, node, paths, against, moved, scaled, turned: about, vanishes };
}

/** The turn from one rotation to another, about the axes of what is turned. Null for none. */
function ownTurn(from: Quaternion, to: Quaternion): PosedJoint['turned'] {
  const turn = multiplyQuaternions(conjugate(from), to);
  const about = turnAxis(turn);
  return about && { angle: turnDegrees(turn), about };
}

/** Joints that move vertices of a skin, themselves or below, once a skin. */
const comparedJoints = fact((facts): readonly Compared[] => {
  const { rig } = facts;
  const { hasMesh, moves, movesBelow } = skinMass(facts);
  return rig.skins.flatMap((skin, place) => {
    // A skin without matrices does not say where it was built.
    if (skin.matrixCount === null) return [];
    const mass = massBySkin(facts)[place];
    const uses = moves.map((value, joint) => ((mass?.get(joint) ?? 0) > 0 ? value : 0));
    const isUsed = hasMesh ? spreadUp(rig.joints, uses) : movesBelow;
    return Array.from(isUsed).flatMap((value, joint) =>
      value === 1 ? (compareIn(facts, skin, place, joint) ?? []) : [],
    );
  });
});

function compareIn(facts: Facts, skin: RigSkin, place: number, joint: number): Compared | null {
  const { nodes, joints } = facts.rig;
  const builtOf = (other: number): Mat4 | null => builtIn(facts, skin, place, other);
  const built = builtOf(joint);
  if (built === null) return null;
  const parent = joints.parent[joint] ?? -1;
  let above = parent;
  while (above !== -1 && builtOf(above) === null) above = joints.parent[above] ?? -1;
  const against = above === -1 ? 'top' : above === parent ? 'parent' : 'further up';
  // A joint at the top of its skin is compared with the top that the joint of M_ref hangs on.
  let at = against === 'top' ? (bindPose(facts).referenceJoint[place] ?? -1) : -1;
  for (; at !== -1; at = joints.parent[at] ?? -1) if (builtOf(at) !== null) above = at;
  const base = builtOf(above);
  const now = mat4At(nodes.world, joints.node[above] ?? 0);
  const [baseBack, nowBack] = [base && invert(base), invert(now)];
  if (above === -1 || above === joint || baseBack === null || nowBack === null) return null;
  return {
    joint,
    against,
    built: multiply(baseBack, built),
    stored: multiply(nowBack, mat4At(nodes.world, joints.node[joint] ?? 0)),
    unit: Math.cbrt(Math.abs(determinant3(now))),
  };
}

/** Where a skin says a joint was built; null where it has no usable matrix of it. */
function builtIn(facts: Facts, skin: RigSkin, place: number, joint: number): Mat4 | null {
  const slot = skin.slotOfJoint[joint] ?? -1;
  if (slot === -1) return null;
  const isUnset = skinMass(facts).moves[joint] === 0 && isIdentity(mat4At(skin.inverseBind, slot));
  return isUnset ? null : (builtMatrices(facts)[place]?.[slot] ?? null);
}

/**
 * Joints torn from their parent: they move skin, and their place (by over `away`, world units) or
 * their scale (by over the share `scale`) is not as built. Carriers, body roots and what hangs on a
 * carrier may travel; what is scaled to nothing is put away, not torn.
 */
export function tornJoints(
  facts: Facts,
  posed: readonly PosedJoint[],
  { away, scale }: { readonly away: number; readonly scale: number },
): PosedJoint[] {
  const { moves } = skinMass(facts);
  const { carriers, joint: root, first } = bodyRoot(facts);
  return posed.filter(({ joint, against, paths, moved, scaled, vanishes }) => {
    const parent = facts.rig.joints.parent[joint] ?? -1;
    if (joint === root || joint === first || carriers.includes(joint) || carriers.includes(parent))
      return false;
    if (against === 'top' || moves[joint] === 0 || vanishes) return false;
    // Nodes between the two can turn a joint off its place, but then turn it as well.
    const isOff = moved > away && (against === 'parent' || !paths.includes('rotation'));
    return isOff || scaled > scale;
  });
}
