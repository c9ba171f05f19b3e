import { fact } from '../facts.js';
import { bindRow } from '../geometry/bind-mesh.js';
import { weld } from '../geometry/weld.js';

/** All skin of a rig in one table, as the bend laboratory turns it: bind pose, world space. */
export interface BendMesh {
  /** x, y, z a vertex. */
  readonly positions: Float32Array;
  /** Three vertices a triangle, of all parts. */
  readonly corners: Uint32Array;
  /** Per vertex: where its influences begin; one past the last. */
  readonly influenceStart: Uint32Array;
  /** Joint of each influence. */
  readonly influenceJoint: Uint32Array;
  /** Share of each influence in its vertex: the shares of a vertex sum to 1. */
  readonly influenceShare: Float32Array;
  /** The first vertex at the same place: seams of normals, UVs and materials are no holes. */
  readonly weld: Int32Array;
}

/**
 * Lays the parts end to end. Other rules report weights that do not sum to 1, are negative or not a
 * number, or name no joint: what is left is taken as if it summed to 1.
 */
export const bendMesh = fact((facts): BendMesh => {
  const { rig } = facts;
  const { positions, offsets } = bindRow(facts);
  const vertices = positions.length / 3;
  const most = rig.parts.reduce((sum, part) => sum + part.vertexCount * part.influences, 0);
  const cornerCount = rig.parts.reduce((sum, part) => sum + (part.triangles?.length ?? 0), 0);
  const corners = new Uint32Array(cornerCount);
  const influenceStart = new Uint32Array(vertices + 1);
  const influenceJoint = new Uint32Array(most);
  const influenceShare = new Float32Array(most);
  let [corner, influence] = [0, 0];
  for (const [index, part] of rig.parts.entries()) {
    const { vertexCount, influences, slots, weights, triangles } = part;
    const jointOfSlot = rig.skins[part.skin]?.jointOfSlot ?? new Int32Array(0);
    const start = offsets[index] ?? 0;
    for (let i = 0; i < (triangles?.length ?? 0); i++)
      corners[corner++] = start + (triangles?.[i] ?? 0);
    for (let vertex = 0; vertex < vertexCount; vertex++) {
      const first = influence;
      let sum = 0;
      influenceStart[start + vertex] = first;
      for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
        const weight = weights[k] ?? 0;
        const slot = slots[k] ?? 0;
        if (!(weight > 0 && weight < Infinity) || slot >= jointOfSlot.length) continue;
        influenceJoint[influence] = jointOfSlot[slot] ?? 0;
        influenceShare[influence++] = weight;
        sum += weight;
      }
      for (let k = first; k < influence; k++) influenceShare[k] = (influenceShare[k] ?? 0) / sum;
    }
  }
  influenceStart[vertices] = influence;
  const table = { influenceStart, influenceJoint, influenceShare };
  return { positions, corners, ...table, weld: weld(positions) };
});

/**
 * Summed share of the joints from `first` up to `end` in one vertex. Joints are in tree order, so
 * with the end of its branch this is what moves along when joint `first` turns.
 */
export function shareWithin(mesh: BendMesh, vertex: number, first: number, end: number): number {
  const { influenceStart, influenceJoint, influenceShare } = mesh;
  let share = 0;
  const stop = influenceStart[vertex + 1] ?? 0;
  for (let k = influenceStart[vertex] ?? 0; k < stop; k++) {
    const joint = influenceJoint[k] ?? 0;
    if (joint >= first && joint < end) share += influenceShare[k] ?? 0;
  }
  return share;
}

/** Summed share of the joints above `joint` in one vertex. */
export function shareAbove(
  mesh: BendMesh,
  vertex: number,
  joint: number,
  branchEnd: Int32Array,
): number {
  const { influenceStart, influenceJoint, influenceShare } = mesh;
  let share = 0;
  const stop = influenceStart[vertex + 1] ?? 0;
  for (let k = influenceStart[vertex] ?? 0; k < stop; k++) {
    const other = influenceJoint[k] ?? 0;
    if (other < joint && (branchEnd[other] ?? 0) > joint) share += influenceShare[k] ?? 0;
  }
  return share;
}
