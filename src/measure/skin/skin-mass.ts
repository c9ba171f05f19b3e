import { spreadDown, spreadUp } from '../../rig/tree.js';
import type { SkinnedPart } from '../../rig/types.js';
import { fact } from '../facts.js';
import { meshTriangles } from '../geometry/triangle-sums.js';
import { remnantsOf } from './remnants.js';
import { areaScales } from './skin-scale.js';
import { type WeightFaults, weightFaults } from './weight-faults.js';

/** What each joint moves, in area and in vertices. */
export interface SkinMass {
  /** Per part and slot: area moved, weighted. In the unit of `ofJoint`. */
  readonly bySlot: readonly Float64Array[];
  /** Per part and slot: a box around the vertices moved, min and max; empty where min > max. */
  readonly boxBySlot: readonly Float64Array[];
  /** Skin mass of each joint. Square units of the mesh; of the world in a rig of several skins. */
  readonly ofJoint: Float64Array;
  /** Per skin: what takes areas of its mesh to the unit of `ofJoint`. */
  readonly areaScale: readonly number[];
  /** Skin mass of all joints together. */
  readonly total: number;
  /** Largest weight of each joint on any vertex, 0 to 1. */
  readonly topWeight: Float64Array;
  /** 1 where some vertex hangs on the joint in part only, by more than rounding. */
  readonly shares: Uint8Array;
  /**
   * 1 where a joint moves skin: a share of 0.01 % of the rig's skin mass, or one vertex by 5 %.
   * With less, or where it is one of `remnants`, it is a carrier or control like any other. When
   * the rig has no mesh, joints that others hang on are taken to move some.
   */
  readonly moves: Uint8Array;
  /** Joints above that floor whose weights were only left on them, in joint order. */
  readonly remnants: readonly number[];
  /** 1 where a joint or any joint below it moves skin. */
  readonly movesBelow: Uint8Array;
  /** 1 where a joint or any joint above it moves skin. */
  readonly movesAbove: Uint8Array;
  /** Whether there is any mesh to move. */
  readonly hasMesh: boolean;
  /** Per part: what is wrong with the weights as numbers. */
  readonly weightFaults: readonly WeightFaults[];
}

/** A joint that moves less of the rig's skin moves none, unless one vertex follows it. Share. */
const LEAST_SHARE = 1e-4;
/** A vertex follows a joint from this weight on. */
const LEAST_WEIGHT = 0.05;
/** A vertex hangs on one joint alone when its weight there is at least this. */
const WHOLE = 0.99;
/** A smaller weight next to a whole one is rounding. */
const ROUNDING = 0.01;

/**
 * Skin mass: the sum over vertices of (a third of the area of the vertex's triangles) x (its weight
 * on the joint). The area is the mesh's own; bind poses scale it alike for all joints of a skin.
 */
export const skinMass = fact((facts): SkinMass => {
  const { rig } = facts;
  const ofJoint = new Float64Array(rig.joints.count);
  const topWeight = new Float64Array(rig.joints.count);
  const shares = new Uint8Array(rig.joints.count);
  const slots = rig.parts.map((part, index) => {
    const area = meshTriangles(facts)[index]?.vertexArea ?? new Float64Array(0);
    return gatherBySlot(part, area, rig.skins[part.skin]?.jointOfSlot.length ?? 0);
  });
  const bySlot = slots.map(({ mass }) => mass);
  const boxBySlot = slots.map(({ box }) => box);
  const areaScale = rig.skins.length > 1 ? areaScales(rig, bySlot) : rig.skins.map(() => 1);
  for (const { skin, mass, top, partly } of slots)
    rig.skins[skin]?.jointOfSlot.forEach((joint, slot) => {
      // From the unit of the mesh to that of the world.
      mass[slot] = (mass[slot] ?? 0) * (areaScale[skin] ?? 1);
      ofJoint[joint] = (ofJoint[joint] ?? 0) + (mass[slot] ?? 0);
      topWeight[joint] = Math.max(topWeight[joint] ?? 0, top[slot] ?? 0);
      if (partly[slot] === 1) shares[joint] = 1;
    });
  const hasMesh = rig.parts.some((part) => part.vertexCount > 0);
  const total = ofJoint.reduce((sum, mass) => sum + mass, 0);
  const moves = Uint8Array.from(ofJoint, (mass, joint) => {
    const follows = (topWeight[joint] ?? 0) >= LEAST_WEIGHT;
    return follows || (mass > 0 && mass >= LEAST_SHARE * total) ? 1 : 0;
  });
  const remnants = remnantsOf(rig, { ofJoint, total, topWeight, moves, boxBySlot });
  for (const joint of remnants) moves[joint] = 0;
  // Without a mesh, end joints count as tips, and all others as moving skin, but for a ground root
  // (see `bodyRoot`).
  if (!hasMesh)
    rig.joints.children.forEach((children, joint) => {
      moves[joint] = children.length > 0 || rig.joints.parent[joint] === -1 ? 1 : 0;
    });
  return {
    bySlot,
    boxBySlot,
    ofJoint,
    areaScale,
    total,
    topWeight,
    shares,
    moves,
    remnants,
    movesBelow: spreadUp(rig.joints, moves),
    movesAbove: spreadDown(rig.joints, moves),
    hasMesh,
    weightFaults: slots.map(({ faults }) => faults),
  };
});

/** What the slots of a part move: area, box, largest weight, and 1 where some vertex is shared. */
function gatherBySlot(part: SkinnedPart, area: Float64Array, slotCount: number) {
  const { positions, slots, weights, influences, vertexCount } = part;
  const mass = new Float64Array(slotCount);
  const box = new Float64Array(6 * slotCount).map((_, i) => (i % 6 < 3 ? Infinity : -Infinity));
  const top = new Float64Array(slotCount);
  const partly = new Uint8Array(slotCount);
  for (let vertex = 0; vertex < vertexCount; vertex++) {
    const share = area[vertex] ?? 0;
    const x = positions[3 * vertex] ?? 0;
    const y = positions[3 * vertex + 1] ?? 0;
    const z = positions[3 * vertex + 2] ?? 0;
    const first = influences * vertex;
    for (let k = first; k < first + influences; k++) {
      const weight = weights[k] ?? 0;
      const slot = slots[k] ?? 0;
      if (!(weight > 0 && weight < Infinity) || slot >= slotCount) continue;
      mass[slot] = (mass[slot] ?? 0) + share * weight;
      if (weight > (top[slot] ?? 0)) top[slot] = weight;
      if (weight > ROUNDING && weight < WHOLE) partly[slot] = 1;
      const at = 6 * slot;
      if (x < (box[at] ?? 0)) box[at] = x;
      if (y < (box[at + 1] ?? 0)) box[at + 1] = y;
      if (z < (box[at + 2] ?? 0)) box[at + 2] = z;
      if (x > (box[at + 3] ?? 0)) box[at + 3] = x;
      if (y > (box[at + 4] ?? 0)) box[at + 4] = y;
      if (z > (box[at + 5] ?? 0)) box[at + 5] = z;
    }
  }
  return { skin: part.skin, mass, box, top, partly, faults: weightFaults(part, slotCount) };
}

/** Vertices of some parts, each counted once. */
export function countVertices(parts: readonly SkinnedPart[]): number {
  return parts.reduce((sum, part) => sum + (part.sharesVertices ? 0 : part.vertexCount), 0);
}
