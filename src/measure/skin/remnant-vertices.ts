import { type Facts, fact } from '../facts.js';
import { LEAST_REMNANT } from './remnants.js';
import { skinMass } from './skin-mass.js';

/** Small weights left on one joint. */
interface Remnant {
  readonly joint: number;
  /** How many vertices have such a weight; the part with most, and the first three there. */
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
  const found = verticesOf(facts, remnants);
  return remnants.map((joint) => {
    const byPart = [...(found.get(joint) ?? [])];
    const [part, list] = byPart.sort(([, a], [, b]) => b.length - a.length)[0] ?? [0, []];
    return {
      joint,
      vertices: byPart.reduce((sum, [, vertices]) => sum + vertices.length, 0),
      part,
      first: list.slice(0, 3),
      top: topWeight[joint] ?? 0,
      share: (ofJoint[joint] ?? 0) / total,
    };
  });
});

/** Vertices of each remnant, by part. One walk over the weights for all: there may be thousands. */
function verticesOf({ rig }: Facts, remnants: readonly number[]) {
  const found = new Map(remnants.map((joint) => [joint, new Map<number, number[]>()]));
  if (remnants.length === 0) return found;
  rig.parts.forEach((part, index) => {
    const { influences, slots, weights } = part;
    const jointOfSlot = rig.skins[part.skin]?.jointOfSlot;
    if (jointOfSlot === undefined || part.sharesVertices) return;
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
