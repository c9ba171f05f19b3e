import { decompose } from '../../rig/decompose.js';
import { determinant3, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import { spreadUp } from '../../rig/tree.js';
import type { ChannelPath, Rig, RigSkin } from '../../rig/types.js';
import { distance } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bodyRoot } from '../skeleton/body-root.js';
import { skinMass } from '../skin/skin-mass.js';
import { bindPose, builtMatrices, isIdentity, massBySkin } from './bind-pose.js';

/** What a joint is held against: its parent, a joint further up, or, at the top, another top. */
type Against = 'parent' | 'further up' | 'top';

/** A joint whose own stored transform is off the bind pose, and in what. */
export interface PosedJoint {
  readonly joint: number;
  readonly node: number;
  readonly paths: readonly ChannelPath[];
  readonly against: Against;
  /** How far its place against the joint above is off. World units. */
  readonly moved: number;
  /** How far its scale is off: the factor that is farthest from 1, less 1. Share. */
  readonly scaled: number;
  /** Whether it is scaled to nothing, as pieces are that are to be seen at times. */
  readonly vanishes: boolean;
}

/** A joint that is held against another in one skin that lists both. */
interface Compared {
  readonly joint: number;
  readonly against: Against;
  /** The joint in the frame of the one above: as built, and as stored. */
  readonly built: Mat4;
  readonly stored: Mat4;
  /** World length of one unit of that frame as stored. */
  readonly unit: number;
}

/**
 * Joints whose own stored transform, not just their parent's, is off the bind pose by over `tolerance`
 * (world units) within a tenth of size around them. A joint is held against the nearest joint above it
 * in a skin that lists both, with B_a B_j^-1 as built and W_a^-1 W_j as stored, so that skins that were
 * bound in different poses are each held against their own; the worst of them counts.
 */
export function posedJoints(facts: Facts, tolerance: number): PosedJoint[] {
  const reach = 0.1 * size(facts);
  const worst = new Map<number, { readonly shift: number; readonly item: Compared }>();
  for (const item of comparedJoints(facts)) {
    const shift = shiftAround(item, reach);
    if (shift > tolerance / 2 && shift > (worst.get(item.joint)?.shift ?? 0))
      worst.set(item.joint, { shift, item });
  }
  const least = cutOff(
    [...worst.values()].map(({ shift }) => shift),
    tolerance,
  );
  return [...worst.values()]
    .filter(({ shift }) => shift >= least)
    .map(({ item }) => posedJoint(facts.rig, item, reach, tolerance))
    .sort((a, b) => a.joint - b.joint);
}

/** Shifts nearer to each other than this are one: rounding must not part two twins at the tolerance. */
const ALIKE = 1 + 1e-3;

/** The least of some shifts over the tolerance, or of those that go on from it in steps of rounding. */
function cutOff(shifts: readonly number[], tolerance: number): number {
  let least = Infinity;
  for (const shift of [...shifts].sort((a, b) => b - a)) {
    if (!(shift > tolerance) && !(shift * ALIKE >= least)) break;
    least = shift;
  }
  return least;
}

/**
 * How far the two transforms of a joint take what lies within `reach` of it apart, at most: the move and
 * what the turn and scale add. The same in whatever frames the joint and the one above it are. World units.
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

function posedJoint(rig: Rig, item: Compared, reach: number, tolerance: number): PosedJoint {
  const { joint, against, unit } = item;
  const [a, b] = [decompose(item.built), decompose(item.stored)];
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
  return { joint, node: rig.joints.node[joint] ?? 0, paths, against, moved, scaled, vanishes };
}

/** A joint of so much of its scale is made to vanish. Share. */
const NOTHING = 1e-3;

const comparedJoints = fact((facts): readonly Compared[] => {
  const { rig } = facts;
  const { hasMesh, movesBelow } = skinMass(facts);
  return rig.skins.flatMap((skin, place) => {
    // A skin without matrices says nothing of where it was built.
    if (skin.matrixCount === null) return [];
    const uses = hasMesh ? usedBelow(facts, place) : movesBelow;
    return Array.from(rig.joints.node).flatMap((_, joint) =>
      uses[joint] === 1 ? (compareIn(facts, skin, place, joint) ?? []) : [],
    );
  });
});

/** 1 for joints that a skin moves vertices by, themselves or below. */
function usedBelow(facts: Facts, place: number): Uint8Array {
  const mass = massBySkin(facts)[place];
  const uses = skinMass(facts).moves.map((own, joint) => ((mass?.[joint] ?? 0) > 0 ? own : 0));
  return spreadUp(facts.rig.joints, uses);
}

function compareIn(facts: Facts, skin: RigSkin, place: number, joint: number): Compared | null {
  const { rig } = facts;
  const own = builtIn(facts, skin, place, joint);
  if (own === null) return null;
  const parent = rig.joints.parent[joint] ?? -1;
  let above = parent;
  while (above !== -1 && builtIn(facts, skin, place, above) === null)
    above = rig.joints.parent[above] ?? -1;
  // One at the top of its skin is held against what the bind pose is placed by.
  const against = above === -1 ? 'top' : above === parent ? 'parent' : 'further up';
  if (above === -1) above = mainTop(facts, skin, place);
  const base = builtIn(facts, skin, place, above);
  const now = mat4At(rig.nodes.world, rig.joints.node[above] ?? 0);
  const [baseBack, nowBack] = [base && invert(base), invert(now)];
  if (above === -1 || above === joint || baseBack === null || nowBack === null) return null;
  return {
    joint,
    against,
    built: multiply(baseBack, own),
    stored: multiply(nowBack, mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0)),
    unit: Math.cbrt(Math.abs(determinant3(now))),
  };
}

/** The joint at the top of a skin that the joint of its M_ref hangs on; -1 for none. */
function mainTop(facts: Facts, skin: RigSkin, place: number): number {
  const { parent } = facts.rig.joints;
  let top = -1;
  for (let at = bindPose(facts).referenceJoint[place] ?? -1; at !== -1; at = parent[at] ?? -1)
    if (builtIn(facts, skin, place, at) !== null) top = at;
  return top;
}

/** Where a skin says a joint was built; null where it says nothing usable. */
function builtIn(facts: Facts, skin: RigSkin, place: number, joint: number): Mat4 | null {
  const slot = skin.slotOfJoint[joint] ?? -1;
  if (slot === -1) return null;
  const isLeftOver =
    skinMass(facts).moves[joint] === 0 && isIdentity(mat4At(skin.inverseBind, slot));
  return isLeftOver ? null : (builtMatrices(facts)[place]?.[slot] ?? null);
}

/**
 * Joints that stand torn from their parent: they move skin, and their place (by over `away`, world units)
 * or their scale (by over the share `scale`) is another than built. Carriers, body roots and what hangs on
 * a carrier may travel, and what is scaled to nothing is put away, not torn.
 */
export function tornJoints(
  facts: Facts,
  posed: readonly PosedJoint[],
  { away, scale }: { readonly away: number; readonly scale: number },
): PosedJoint[] {
  const { moves } = skinMass(facts);
  const root = bodyRoot(facts);
  const free = new Set([...root.carriers, root.joint, root.first]);
  const onCarrier = (joint: number): boolean =>
    root.carriers.includes(facts.rig.joints.parent[joint] ?? -1);
  // What stands between can turn a joint off its place, and turns it as well then.
  const isOff = ({ against, paths, moved }: PosedJoint): boolean =>
    moved > away && (against === 'parent' || !paths.includes('rotation'));
  return posed.filter(
    (item) =>
      item.against !== 'top' &&
      moves[item.joint] === 1 &&
      !free.has(item.joint) &&
      !onCarrier(item.joint) &&
      !item.vanishes &&
      (isOff(item) || item.scaled > scale),
  );
}
