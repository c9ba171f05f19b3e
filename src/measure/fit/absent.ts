import { fact } from '../facts.js';
import { pairs } from '../skeleton/pairs.js';
import { skinMass } from '../skin/skin-mass.js';
import { counterparts } from './counterparts.js';
import { approvedFacts } from './matching.js';

/** Joints of the approved rig that this rig lacks, of one cause: a branch, or one on both sides. */
export interface AbsentBranch {
  /** Topmost approved joints, one or a pair. */
  readonly tops: readonly number[];
  /** All approved joints of it, in joint order. */
  readonly joints: readonly number[];
  /** How many of them a clip of the approved asset poses. */
  readonly posed: number;
  /** How many of them move skin of the approved rig. */
  readonly moving: number;
}

/** What this rig lacks, branch by branch. */
export const absentBranches = fact((facts): readonly AbsentBranch[] => {
  const theirs = approvedFacts(facts);
  const found = counterparts(facts);
  if (theirs === null || found === null) return [];
  const { parent, count } = theirs.rig.joints;
  const { partner } = pairs(theirs);
  const isAbsent = (joint: number): boolean => found.ofApproved[joint] === -1;
  // The topmost joint of the branch, the first of a pair for both sides.
  const top = new Int32Array(count).fill(-1);
  const branches = new Map<number, { tops: number[]; joints: number[] }>();
  for (let joint = 0; joint < count; joint++) {
    if (!isAbsent(joint)) continue;
    const above = top[parent[joint] ?? -1] ?? -1;
    const twin = partner[joint] ?? -1;
    const key = above !== -1 ? above : twin !== -1 && top[twin] === twin ? twin : joint;
    top[joint] = key;
    const branch = branches.get(key) ?? { tops: [], joints: [] };
    if (above === -1) branch.tops.push(joint);
    branch.joints.push(joint);
    branches.set(key, branch);
  }
  const { moves } = skinMass(theirs);
  const posed = posedJoints(facts);
  return [...branches.values()].map(({ tops, joints }) => ({
    tops,
    joints,
    posed: joints.filter((joint) => posed.has(joint)).length,
    moving: joints.filter((joint) => moves[joint] === 1).length,
  }));
});

/** Approved joints that a clip poses: in their own file by node, in others by name, as clips are handed on. */
export const posedJoints = fact((facts): ReadonlySet<number> => {
  const { approved } = facts;
  const posed = new Set<number>();
  if (approved?.rig == null) return posed;
  const { joints, nodes } = approved.rig;
  const names = new Set<string>();
  for (const source of approved.asset.clips)
    for (const { keyed } of source.clips)
      for (const node of keyed.keys()) {
        const name = source.nodes.names[node];
        if (source.nodes !== nodes && typeof name === 'string') names.add(name);
        const joint = source.nodes === nodes ? (joints.ofNode[node] ?? -1) : -1;
        if (joint !== -1) posed.add(joint);
      }
  for (const [joint, name] of joints.names.entries())
    if (joints.named[joint] === true && names.has(name)) posed.add(joint);
  return posed;
});
