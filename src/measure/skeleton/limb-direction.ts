import { branchOf } from '../../rig/tree.js';
import { distance } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { edgesOut, flesh } from '../skin/flesh.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot, isBranching, movingChildren } from './body-root.js';
import { boneLengths, turnAt } from './bones.js';

/** A run of joints hung on another joint. World units. */
export interface Limb {
  /** From the joint on the parent outward, to the last that moves skin or on to an idle end. */
  readonly joints: readonly number[];
  readonly parent: number;
  /** Distance from the parent to the first and to the last joint. */
  readonly toFirst: number;
  readonly toLast: number;
  /** Mean length of the bones within the run. */
  readonly meanBone: number;
  /** `joined` to the body at its first joint, as it should be; `turned` at its last; or `apart`. */
  readonly flesh: 'joined' | 'turned' | 'apart';
}

/** Bones that fold back by more than this lead to where a limb should have begun. Degrees. */
const FOLD_DEGREES = 150;

/**
 * Runs of two skin-moving joints or more that hang on a joint that branches or moves no skin, or that
 * fold back on their parent: a limb laid backwards can be its parent's only child.
 */
export const limbs = fact((facts): readonly Limb[] => {
  const { movesBelow, moves } = skinMass(facts);
  const { parent } = facts.rig.joints;
  return Array.from(parent).flatMap((above, joint) => {
    if (above === -1 || movesBelow[joint] === 0) return [];
    const run = runFrom(facts, joint);
    const foldsBack = turnAt(facts, joint, run[1] ?? -1) > FOLD_DEGREES;
    const starts = foldsBack || isBranching(facts, above) || moves[above] === 0;
    return starts ? (measureLimb(facts, run) ?? []) : [];
  });
});

/** A joint and those after it, while one child alone moves skin, or there is only one. */
function runFrom(facts: Facts, start: number): number[] {
  const { children } = facts.rig.joints;
  const run: number[] = [];
  for (let joint = start; joint !== -1; ) {
    run.push(joint);
    const moving = movingChildren(facts, joint);
    const [next = -1, ...others] = moving.length > 0 ? moving : (children[joint] ?? []);
    joint = others.length === 0 ? next : -1;
  }
  return run;
}

function measureLimb(facts: Facts, joints: readonly number[]): Limb | null {
  const { places } = bonePose(facts);
  const { moves } = skinMass(facts);
  const lengths = boneLengths(facts);
  const [first, last] = [joints[0] ?? -1, joints.at(-1) ?? -1];
  const parent = facts.rig.joints.parent[first] ?? -1;
  const [base, near, far] = [places[parent], places[first], places[last]];
  const moving = joints.filter((joint) => moves[joint] === 1);
  if (moving.length < 2 || !base || !near || !far) return null;
  const length = joints.slice(1).reduce((sum, joint) => sum + (lengths[joint] ?? 0), 0);
  const [toFirst, toLast] = [distance(base, near), distance(base, far)];
  // A limb that begins nearer to its parent than it ends is laid outward, whatever its flesh.
  const joined = toFirst > toLast ? fleshOf(facts, first, moving) : 'joined';
  return { joints, parent, toFirst, toLast, meanBone: length / (joints.length - 1), flesh: joined };
}

function fleshOf(facts: Facts, top: number, moving: readonly number[]): Limb['flesh'] {
  const branch = branchOf(facts.rig.joints, top);
  const owners = moving.filter((joint) => (flesh(facts).own[joint] ?? 0) > 0);
  const [first, last] = [owners[0] ?? -1, owners.at(-1) ?? -1];
  if (edgesOut(facts, first, branch) > 0) return 'joined';
  return edgesOut(facts, last, branch) > 0 ? 'turned' : 'apart';
}

/** A root is the thin end of its chain when a joint along it has over this many times its girth. */
const THICKER = 2;

/**
 * Whether the rig begins at a tip: the first joint that moves skin does not branch, there are
 * joints enough for a chain, and the flesh grows thicker along it. A trunk that begins at its foot,
 * or an animal at its rump, is well rooted.
 */
export const rootIsTip = fact((facts): boolean => {
  const { first } = bodyRoot(facts);
  if (first === -1 || isBranching(facts, first)) return false;
  const run = runFrom(facts, first);
  if (run.length < 3) return false;
  const { ofJoint } = skinMass(facts);
  const lengths = boneLengths(facts);
  // Skin mass along a bone is the girth there.
  const girths = run.slice(0, -1).map((joint, place) => {
    const bone = lengths[run[place + 1] ?? -1] ?? 0;
    return bone > 0 ? (ofJoint[joint] ?? 0) / bone : 0;
  });
  return girths.some((girth) => girth > THICKER * (girths[0] ?? 0));
});
