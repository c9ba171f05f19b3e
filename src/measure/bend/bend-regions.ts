import { fact } from '../facts.js';
import { rowsOf } from '../geometry/rows.js';
import { skinMass } from '../skin/skin-mass.js';
import { type BendMesh, bendMesh } from './bend-mesh.js';

/** Which triangles may deform when each joint turns. */
interface BendRegions {
  /** Per joint: where its triangles begin in `triangles`; one past the last. */
  readonly start: Int32Array;
  /** Triangles of the bend mesh, in order within each joint. */
  readonly triangles: Int32Array;
  /** Per joint: one past the last joint at or below it. */
  readonly branchEnd: Int32Array;
  /** 1 for each joint that is turned: it hangs on another and moves skin. */
  readonly turns: Uint8Array;
  /** Whether there were too many to gather; the lists are then empty. */
  readonly tooMany: boolean;
}

/**
 * Steps from joint to joint that are taken at most. A triangle between joints far apart deforms at
 * every joint between them: a file of long chains and weights across them could ask for as many
 * steps as triangles times joints. Rigs need two to four a triangle; this many take some seconds.
 */
const MOST_STEPS = 1 << 23;

/**
 * A triangle keeps its shape when joint j turns, if j is at or above all joints that move it or
 * none of them. So the joints that deform it are those on the paths from its joints up to the
 * lowest joint at or above them all, that one left out. Gathered triangle by triangle: the work is
 * influences times paths, never joints times vertices. Only joints that hang on another and move
 * skin are kept.
 */
export const bendRegions = fact((facts): BendRegions => {
  const { joints } = facts.rig;
  const { moves } = skinMass(facts);
  const mesh = bendMesh(facts);
  const branchEnd = branchEnds(joints.parent);
  const turns = moves.map((value, joint) => (value === 1 && joints.parent[joint] !== -1 ? 1 : 0));
  const found = gather(mesh, joints.parent, turns);
  const pairs = found ?? { count: 0, joint: new Int32Array(0), triangle: new Int32Array(0) };
  const { first, order } = rowsOf(pairs.joint.subarray(0, pairs.count), joints.count);
  for (let k = 0; k < order.length; k++) order[k] = pairs.triangle[order[k] ?? 0] ?? 0;
  return { start: first, triangles: order, branchEnd, turns, tooMany: found === null };
});

/** One past the last joint of each branch. Joints are in tree order, each branch in one piece. */
function branchEnds(parent: Int32Array): Int32Array {
  const end = Int32Array.from(parent, (_, joint) => joint + 1);
  for (let joint = parent.length - 1; joint >= 0; joint--) {
    const above = parent[joint] ?? -1;
    if (above !== -1) end[above] = Math.max(end[above] ?? 0, end[joint] ?? 0);
  }
  return end;
}

interface Deforming {
  count: number;
  joint: Int32Array;
  triangle: Int32Array;
}

function gather(mesh: BendMesh, parent: Int32Array, turns: Uint8Array): Deforming | null {
  const { corners, influenceStart, influenceJoint } = mesh;
  const room = corners.length + 64;
  const pairs = { count: 0, joint: new Int32Array(room), triangle: new Int32Array(room) };
  const seen = new Int32Array(parent.length).fill(-1);
  let steps = 0;
  for (let triangle = 0; 3 * triangle < corners.length; triangle++) {
    let above = -2;
    for (let corner = 3 * triangle; corner < 3 * triangle + 3; corner++) {
      const vertex = corners[corner] ?? 0;
      const stop = influenceStart[vertex + 1] ?? 0;
      for (let k = influenceStart[vertex] ?? 0; k < stop; k++) {
        const joint = influenceJoint[k] ?? 0;
        if (joint !== above) above = above === -2 ? joint : commonAbove(parent, above, joint);
      }
    }
    for (let corner = 3 * triangle; corner < 3 * triangle + 3; corner++) {
      const vertex = corners[corner] ?? 0;
      const stop = influenceStart[vertex + 1] ?? 0;
      for (let k = influenceStart[vertex] ?? 0; k < stop; k++) {
        let joint = influenceJoint[k] ?? 0;
        while (joint !== above && joint !== -1 && seen[joint] !== triangle) {
          seen[joint] = triangle;
          steps++;
          if (turns[joint] === 1) addPair(pairs, joint, triangle);
          joint = parent[joint] ?? -1;
        }
      }
    }
    if (steps > MOST_STEPS) return null;
  }
  return pairs;
}

/** The lowest joint at or above both, -1 for none. The later of two is never above the other. */
function commonAbove(parent: Int32Array, joint: number, other: number): number {
  let [a, b] = [joint, other];
  while (a !== b) {
    if (a > b) a = parent[a] ?? -1;
    else b = parent[b] ?? -1;
  }
  return a;
}

function addPair(pairs: Deforming, joint: number, triangle: number): void {
  if (pairs.count === pairs.joint.length) {
    pairs.joint = grown(pairs.joint);
    pairs.triangle = grown(pairs.triangle);
  }
  pairs.joint[pairs.count] = joint;
  pairs.triangle[pairs.count++] = triangle;
}

function grown(array: Int32Array): Int32Array {
  const out = new Int32Array(2 * array.length);
  out.set(array);
  return out;
}
