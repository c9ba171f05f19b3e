import { branchOf } from '../../rig/tree.js';
import { distance } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { edgesOut, flesh } from '../skin/flesh.js';
import { skinMass } from '../skin/skin-mass.js';
import { bodyRoot, isBranching, movingChildren } from './body-root.js';
import { boneLengths, turnAt } from './bones.js';

/** A run of joints hung on another joint: see `runFrom`. World units. */
export interface Limb {
  /** The joint on the parent, where the run begins, and the last that moves skin or an idle end. */
  readonly joint: number;
  readonly last: number;
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
  const { next } = runs(facts);
  return Array.from(parent).flatMap((above, joint) => {
    if (above === -1 || movesBelow[joint] === 0) return [];
    const foldsBack = turnAt(facts, joint, next[joint] ?? -1) > FOLD_DEGREES;
    const starts = foldsBack || isBranching(facts, above) || moves[above] === 0;
    return starts ? (measureLimb(facts, joint, above) ?? []) : [];
  });
});

/**
 * What runs on from each joint. Each run is the rest of those that begin above it, so all are
 * measured in one pass: to gather each would take the square of a long chain.
 */
const runs = fact((facts) => {
  const { children, count } = facts.rig.joints;
  const { moves } = skinMass(facts);
  const lengths = boneLengths(facts);
  const next = Int32Array.from(children, (below, joint) => {
    const moving = movingChildren(facts, joint);
    const [only = -1, ...others] = moving.length > 0 ? moving : below;
    return others.length === 0 ? only : -1;
  });
  const last = Int32Array.from(next.keys());
  /** Bones of each run, their length together, and how many of its joints move skin. */
  const [bones, length, moving] = [
    new Int32Array(count),
    new Float64Array(count),
    Int32Array.from(moves),
  ];
  for (let joint = count - 1; joint >= 0; joint--) {
    const after = next[joint] ?? -1;
    if (after === -1) continue;
    last[joint] = last[after] ?? after;
    bones[joint] = 1 + (bones[after] ?? 0);
    length[joint] = (lengths[after] ?? 0) + (length[after] ?? 0);
    moving[joint] = (moving[joint] ?? 0) + (moving[after] ?? 0);
  }
  return { next, last, bones, length, moving };
});

/** A joint and those after it, while one child alone moves skin, or there is only one. */
export function runFrom(facts: Facts, start: number): number[] {
  const { next } = runs(facts);
  const run: number[] = [];
  for (let joint = start; joint !== -1; joint = next[joint] ?? -1) run.push(joint);
  return run;
}

function measureLimb(facts: Facts, joint: number, parent: number): Limb | null {
  const { places } = bonePose(facts);
  const { last: lasts, bones, length, moving } = runs(facts);
  const last = lasts[joint] ?? joint;
  const [base, near, far] = [places[parent], places[joint], places[last]];
  if ((moving[joint] ?? 0) < 2 || !base || !near || !far) return null;
  const [toFirst, toLast] = [distance(base, near), distance(base, far)];
  const meanBone = (length[joint] ?? 0) / (bones[joint] ?? 1);
  // A limb that begins nearer to its parent than it ends is laid outward, whatever its flesh.
  const joined = toFirst > toLast ? fleshOf(facts, joint) : 'joined';
  return { joint, last, parent, toFirst, toLast, meanBone, flesh: joined };
}

function fleshOf(facts: Facts, top: number): Limb['flesh'] {
  const { moves } = skinMass(facts);
  const { own } = flesh(facts);
  const branch = branchOf(facts.rig.joints, top);
  const owners = runFrom(facts, top).filter((joint) => moves[joint] === 1 && (own[joint] ?? 0) > 0);
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
