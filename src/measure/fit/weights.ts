import type { Rig, RigSkin, SkinnedPart } from '../../rig/types.js';
import { fact } from '../facts.js';
import { type Counterparts, counterparts } from './counterparts.js';
import { matching } from './matching.js';

/** A part of this rig that has the vertices of one of the approved rig. Places in their lists of parts. */
export interface SamePart {
  readonly theirs: number;
  readonly ours: number;
}

/** Positions nearer than this are the same: 16-bit storage rounds. Share of the mesh's own extent. */
const SAME_PLACE = 1e-4;

/**
 * Parts with the same vertices in the same order: as many, and in the same places once both meshes are
 * brought to one extent, since a file can store them in another unit or as integers.
 */
export const sameParts = fact((facts): readonly SamePart[] => {
  const match = matching(facts);
  if (match === null) return [];
  const taken = new Set<number>();
  return facts.rig.parts.flatMap((part, ours): SamePart[] => {
    if (part.sharesVertices || part.vertexCount === 0) return [];
    const theirs = match.approved.parts.findIndex(
      (other, at) => !taken.has(at) && !other.sharesVertices && areSame(other, part),
    );
    if (theirs === -1) return [];
    taken.add(theirs);
    return [{ theirs, ours }];
  });
});

function areSame(a: SkinnedPart, b: SkinnedPart): boolean {
  if (a.vertexCount !== b.vertexCount) return false;
  const [from, to] = [extentOf(a.positions), extentOf(b.positions)];
  const within = SAME_PLACE * from.size;
  const factor = to.size > 0 ? from.size / to.size : 1;
  return a.positions.every((value, at) => {
    const axis = at % 3;
    const other = factor * ((b.positions[at] ?? 0) - (to.least[axis] ?? 0));
    return Math.abs(value - (from.least[axis] ?? 0) - other) <= within;
  });
}

/** The least of each coordinate, and the diagonal of the box around all points. */
function extentOf(positions: Float32Array): { least: Float64Array; size: number } {
  const least = new Float64Array(3).fill(Infinity);
  const most = new Float64Array(3).fill(-Infinity);
  for (let at = 0; at < positions.length; at++) {
    const value = positions[at] ?? 0;
    if (value < (least[at % 3] ?? 0)) least[at % 3] = value;
    if (value > (most[at % 3] ?? 0)) most[at % 3] = value;
  }
  const [x = 0, y = 0, z = 0] = most.map((value, axis) => value - (least[axis] ?? 0));
  return { least, size: Math.hypot(x, y, z) };
}

/** How the weights of one mesh differ from the approved ones. */
export interface WeightsApart extends SamePart {
  /** For each vertex, the largest difference on any joint, 0 to 1; -1 where it is not compared. */
  readonly byVertex: Float64Array;
  /** For each vertex, the joint of this rig with that difference; -1 where there is none. */
  readonly jointOf: Int32Array;
}

/**
 * The weights of each mesh that both rigs have, joint by joint, on the joints that stand in one place,
 * whatever their names. Left out are vertices that a joint
 * without an answer moves on either side: they differ because that joint is missing, or is one more.
 */
export const weightsApart = fact((facts): readonly WeightsApart[] => {
  const approved = facts.approved?.rig ?? null;
  const found = counterparts(facts);
  if (approved === null || found === null) return [];
  return sameParts(facts).map((same) => ({
    ...same,
    ...compare(found, approved, facts.rig, same),
  }));
});

function compare(
  { ofApproved, ofRig }: Counterparts,
  approved: Rig,
  rig: Rig,
  { theirs, ours }: SamePart,
): Pick<WeightsApart, 'byVertex' | 'jointOf'> {
  const [a, c] = [approved.parts[theirs], rig.parts[ours]];
  const [skinA, skinC] = [approved.skins[a?.skin ?? -1], rig.skins[c?.skin ?? -1]];
  const count = c?.vertexCount ?? 0;
  const byVertex = new Float64Array(count);
  const jointOf = new Int32Array(count).fill(-1);
  if (!a || !c || !skinA || !skinC) return { byVertex, jointOf };
  // Of each joint of this rig: the weight here less the approved one, for one vertex at a time.
  const apart = new Float64Array(rig.joints.count);
  const touched: number[] = [];
  const put = (joint: number, weight: number): void => {
    apart[joint] = (apart[joint] ?? 0) + weight;
    touched.push(joint);
  };
  for (let vertex = 0; vertex < count; vertex++) {
    const isKnown =
      eachWeight(c, skinC, vertex, (joint, weight) => {
        put(joint, weight);
        return ofRig[joint] !== -1;
      }) &&
      eachWeight(a, skinA, vertex, (joint, weight) => {
        const own = ofApproved[joint] ?? -1;
        if (own !== -1) put(own, -weight);
        return own !== -1;
      });
    let [most, worst] = [0, -1];
    for (const joint of touched) {
      const difference = Math.abs(apart[joint] ?? 0);
      if (difference > most) [most, worst] = [difference, joint];
    }
    for (const joint of touched) apart[joint] = 0;
    touched.length = 0;
    byVertex[vertex] = isKnown ? most : -1;
    jointOf[vertex] = isKnown ? worst : -1;
  }
  return { byVertex, jointOf };
}

/** Calls for each joint that moves a vertex. Whether all calls said yes. */
function eachWeight(
  { influences, slots, weights }: SkinnedPart,
  { jointOfSlot }: RigSkin,
  vertex: number,
  visit: (joint: number, weight: number) => boolean,
): boolean {
  let isEvery = true;
  for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
    const weight = weights[k] ?? 0;
    const joint = jointOfSlot[slots[k] ?? 0] ?? -1;
    if (weight > 0 && joint !== -1 && !visit(joint, weight)) isEvery = false;
  }
  return isEvery;
}
