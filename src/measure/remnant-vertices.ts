import { type Facts, fact } from './facts.js';
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
  const { ofJoint, topWeight, remnants } = skinMass(facts);
  const total = ofJoint.reduce((sum, mass) => sum + mass, 0);
  return remnants.map((joint) => {
    const byPart = facts.rig.parts.map((_, part) => verticesOf(facts, joint, part));
    let part = 0;
    byPart.forEach((list, index) => {
      if (list.length > (byPart[part]?.length ?? 0)) part = index;
    });
    return {
      joint,
      vertices: byPart.reduce((sum, list) => sum + list.length, 0),
      part,
      first: (byPart[part] ?? []).slice(0, 3),
      top: topWeight[joint] ?? 0,
      share: (ofJoint[joint] ?? 0) / total,
    };
  });
});

function verticesOf({ rig }: Facts, joint: number, index: number): number[] {
  const part = rig.parts[index];
  const slot = part === undefined ? -1 : (rig.skins[part.skin]?.slotOfJoint[joint] ?? -1);
  if (part === undefined || slot === -1 || part.sharesVertices) return [];
  const list: number[] = [];
  for (let vertex = 0; vertex < part.vertexCount; vertex++) {
    let most = 0;
    for (let k = part.influences * vertex; k < part.influences * (vertex + 1); k++)
      if (part.slots[k] === slot) most = Math.max(most, part.weights[k] ?? 0);
    if (most >= LEAST_REMNANT) list.push(vertex);
  }
  return list;
}
