import { type Facts, fact } from '../facts.js';
import { type MeshNet, meshNet } from '../geometry/mesh-net.js';

/** Which flesh adjoins which: a vertex belongs to the joint that moves it most. */
interface Flesh {
  /** How many vertices each joint has, places counted once. */
  readonly own: Int32Array;
  /** For each joint, the number of edges to the flesh of each joint that adjoins it. */
  readonly beside: readonly ReadonlyMap<number, number>[];
}

/**
 * Flesh adjoins flesh where an edge of the mesh runs from a vertex of one joint to a vertex of the
 * other, over seams and primitives. It costs a walk over the whole mesh: use it only for joints
 * whose boxes raise a suspicion.
 */
export const flesh = fact((facts): Flesh => {
  const { rig } = facts;
  const net = meshNet(facts);
  const owner = ownersOf(facts, net);
  const own = new Int32Array(rig.joints.count);
  for (const joint of owner) if (joint !== -1) own[joint] = (own[joint] ?? 0) + 1;
  return { own, beside: countEdges(net, owner, rig.joints.count) };
});

/** The joint that moves each place most, -1 for none; the first vertex at a place decides. */
function ownersOf({ rig }: Facts, { places, offsets }: MeshNet): Int32Array {
  const owner = new Int32Array(places.length).fill(-1);
  for (const [index, { skin, vertexCount, influences, slots, weights }] of rig.parts.entries()) {
    const jointOfSlot = rig.skins[skin]?.jointOfSlot ?? new Int32Array(0);
    const offset = offsets[index] ?? 0;
    for (let vertex = 0; vertex < vertexCount; vertex++) {
      const place = places[offset + vertex] ?? 0;
      if ((owner[place] ?? -1) !== -1) continue;
      let most = 0;
      for (let k = influences * vertex; k < influences * (vertex + 1); k++) {
        const slot = slots[k] ?? 0;
        if (!((weights[k] ?? 0) > most) || slot >= jointOfSlot.length) continue;
        most = weights[k] ?? 0;
        owner[place] = jointOfSlot[slot] ?? -1;
      }
    }
  }
  return owner;
}

function countEdges({ corners }: MeshNet, owner: Int32Array, joints: number): Flesh['beside'] {
  const beside = Array.from({ length: joints }, () => new Map<number, number>());
  for (let at = 0; at < corners.length; at++) {
    const next = at % 3 === 2 ? at - 2 : at + 1;
    const a = owner[corners[at] ?? 0] ?? -1;
    const b = owner[corners[next] ?? 0] ?? -1;
    if (a === b || a === -1 || b === -1) continue;
    count(beside[a], b);
    count(beside[b], a);
  }
  return beside;
}

function count(counts: Map<number, number> | undefined, joint: number): void {
  counts?.set(joint, (counts.get(joint) ?? 0) + 1);
}

/** Edges between a joint's flesh and that of all joints marked `mark` in `branch`. */
function edgesTo(facts: Facts, joint: number, branch: Uint8Array, mark: 0 | 1): number {
  const marked = [...(flesh(facts).beside[joint] ?? [])].filter(
    ([other]) => branch[other] === mark,
  );
  return marked.reduce((sum, [, edges]) => sum + edges, 0);
}

/** Edges between a joint's flesh and that of all joints outside a branch (1 in `branch`). */
export function edgesOut(facts: Facts, joint: number, branch: Uint8Array): number {
  return edgesTo(facts, joint, branch, 0);
}

/** Edges between the flesh of a branch (1 in `branch`) and that of one joint outside it. */
export function edgesBetween(facts: Facts, branch: Uint8Array, joint: number): number {
  return edgesTo(facts, joint, branch, 1);
}
