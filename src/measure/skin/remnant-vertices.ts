import { type Facts, fact } from '../facts.js';
import { LEAST_REMNANT } from './remnants.js';
import { skinMass } from './skin-mass.js';

/** Small weights left on one joint. */
export interface Remnant {
  readonly joint: number;
  /** Vertices with such a weight; the part that has most of them, and its first three there. */
  readonly vertices: number;
  readonly part: number;
  readonly first: readonly number[];
  /** The largest of the weights, and the joint's share of the rig's skin, 0 to 1. */
  readonly top: number;
  readonly share: number;
}

/** The remnants of a rig with the vertices they are on, in joint order. */
export const remnantsFound = fact((facts): readonly Remnant[] => {
  const { ofJoint, total, topWeight, remnants } = skinMass(facts);
  const found = verticesOfAll(facts, remnants);
  return remnants.map((joint) => {
    const byPart = found.get(joint) ?? new Map<number, number[]>();
    let [part, most, vertices] = [0, 0, 0];
    for (const [index, list] of byPart) {
      vertices += list.length;
      if (list.length > most) [part, most] = [index, list.length];
    }
    return {
      joint,
      vertices,
      part,
      first: (byPart.get(part) ?? []).slice(0, 3),
      top: topWeight[joint] ?? 0,
      share: (ofJoint[joint] ?? 0) / total,
    };
  });
});

type ByPart = Map<number, number[]>;

/** Vertices by part of each remnant. One walk over the weights for all: there may be thousands of either. */
function verticesOfAll({ rig }: Facts, remnants: readonly number[]): Map<number, ByPart> {
  const found = new Map(remnants.map((joint): [number, ByPart] => [joint, new Map()]));
  if (remnants.length === 0) return found;
  rig.parts.forEach((part, index) => {
    const jointOfSlot = rig.skins[part.skin]?.jointOfSlot;
    if (jointOfSlot === undefined || part.sharesVertices) return;
    const { influences, slots, weights } = part;
    for (let k = 0; k < influences * part.vertexCount; k++) {
      if (!((weights[k] ?? 0) >= LEAST_REMNANT)) continue;
      const byPart = found.get(jointOfSlot[slots[k] ?? -1] ?? -1);
      const list = byPart?.get(index) ?? [];
      const vertex = Math.floor(k / influences);
      // A vertex may name a joint twice, one influence after the other: it is listed once.
      if (list.at(-1) !== vertex) list.push(vertex);
      byPart?.set(index, list);
    }
  });
  return found;
}
