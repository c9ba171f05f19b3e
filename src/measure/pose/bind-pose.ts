import { skew } from '../../rig/decompose.js';
import { identity, invert, type Mat4, mat4At, multiply, origin } from '../../rig/mat4.js';
import type { RigSkin } from '../../rig/types.js';
import type { Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { heaviestSlot } from '../skin/skin-scale.js';
import { near, nearAt, skinningMatrix } from './skinning-matrix.js';
import { skinsOfJoint } from './skins-of-joint.js';
import { standUp } from './stand-up.js';

/** The pose the rig was built in. World space, world units. */
export interface BindPose {
  /** World matrix of each joint, 16 numbers a joint. */
  readonly world: Float64Array;
  /** Origin of each joint. */
  readonly places: readonly Vec3[];
  /** Per skin: M_ref, which takes the mesh to the bind pose as its heaviest joint is stored. */
  readonly reference: readonly Mat4[];
  /** Per skin: what takes the mesh to the bind pose as it stood in the world. */
  readonly standing: readonly Mat4[];
  /** Per skin: the joint that M_ref is taken from. */
  readonly referenceJoint: readonly number[];
}

/**
 * Joint j is placed at M_ref B_j^-1, where M_j = W_j B_j is the skinning matrix of glTF 2.0 (3.7.3
 * Skins), and M_ref that of the joint with most skin mass in its skin. A joint of several skins
 * takes its place from the skin in which it has most mass.
 *
 * A joint without a usable matrix is placed as at rest against its parent. Exporters often leave
 * the identity for joints that move nothing; it counts only where it agrees with the rest pose.
 */
export const bindPose = fact((facts): BindPose => {
  const { rig } = facts;
  const { joints } = rig;
  const bySkin = rig.skins.map((skin, index) => {
    const joint = heaviestJoint(facts, index, skin);
    const reference = skinningMatrix(rig, skin, joint);
    return { joint, reference, standing: standUp(facts, reference, skin, joint) };
  });
  const standing = bySkin.map((skin) => skin.standing);
  const world = new Float64Array(16 * joints.count);
  for (let joint = 0; joint < joints.count; joint++) {
    const rest = restAgainstParent(facts, world, joint);
    world.set(builtPlace(facts, standing, joint, rest) ?? rest, 16 * joint);
  }
  const places = Array.from({ length: joints.count }, (_, joint) => origin(mat4At(world, joint)));
  const reference = bySkin.map((skin) => skin.reference);
  return { world, places, reference, standing, referenceJoint: bySkin.map(({ joint }) => joint) };
});

/** Per skin and slot: where the inverse bind matrix says the joint was built, null when nowhere. */
export const builtMatrices = fact(({ rig }): readonly (readonly (Mat4 | null)[])[] =>
  rig.skins.map(({ jointOfSlot, inverseBind }) =>
    Array.from(jointOfSlot, (_, slot) => {
      const matrix = mat4At(inverseBind, slot);
      return affineRow(matrix) && matrix.every(Number.isFinite) ? invert(matrix) : null;
    }),
  ),
);

/** Whether the last row is 0 0 0 1 (glTF 2.0, 3.7.3.1: the fourth row MUST be so). */
export function affineRow(matrix: Mat4): boolean {
  const off = Math.abs(matrix[3] ?? 0) + Math.abs(matrix[7] ?? 0) + Math.abs(matrix[11] ?? 0);
  return off + Math.abs((matrix[15] ?? 0) - 1) < 1e-6;
}

function heaviestJoint(facts: Facts, place: number, skin: RigSkin): number {
  const mass = massBoundAlike(facts)[place];
  const built = builtMatrices(facts)[place];
  // A joint without a usable matrix shows no pose.
  const massOfSlot = Float64Array.from(skin.jointOfSlot, (joint, slot) =>
    built?.[slot] == null ? -1 : (mass?.get(joint) ?? 0),
  );
  return skin.jointOfSlot[Math.max(0, heaviestSlot(massOfSlot, skin.jointOfSlot))] ?? 0;
}

/** Skin mass of joints; those that a skin does not list are left out. */
type MassOfJoint = ReadonlyMap<number, number>;

/**
 * For each skin, the skin mass of each joint in all skins that are bound as it is: some exports
 * give each mesh a copy of one skin, and those meshes must share one pose.
 */
const massBoundAlike = fact((facts): readonly MassOfJoint[] => {
  const groups = new Map<string, { first: RigSkin; mass: Map<number, number> }[]>();
  return facts.rig.skins.map((skin, place) => {
    // Only skins of the same joints are compared: hundreds of others would each be with all.
    const listed = [...new Set(skin.jointOfSlot)].sort((a, b) => a - b);
    const key = `${skin.jointOfSlot.length}: ${listed.join()}`;
    const list = groups.get(key) ?? [];
    groups.set(key, list);
    const alike = list.find(({ first }) => areBoundAlike(first, skin));
    const group = alike ?? { first: skin, mass: new Map<number, number>() };
    if (alike === undefined) list.push(group);
    for (const [joint, mass] of massBySkin(facts)[place] ?? [])
      group.mass.set(joint, (group.mass.get(joint) ?? 0) + mass);
    return group.mass;
  });
});

/** Whether two skins of the same joints bind them by the same matrices. */
function areBoundAlike(a: RigSkin, b: RigSkin): boolean {
  return a.jointOfSlot.every((joint) =>
    nearAt(a.inverseBind, a.slotOfJoint[joint] ?? 0, b.inverseBind, b.slotOfJoint[joint] ?? 0),
  );
}

/** Skin mass of each joint in each skin. */
export const massBySkin = fact((facts): readonly MassOfJoint[] => {
  const { rig } = facts;
  const { bySlot } = skinMass(facts);
  const table = rig.skins.map(() => new Map<number, number>());
  rig.parts.forEach((part, index) => {
    const row = table[part.skin];
    rig.skins[part.skin]?.jointOfSlot.forEach((joint, slot) => {
      row?.set(joint, (row.get(joint) ?? 0) + (bySlot[index]?.[slot] ?? 0));
    });
  });
  return table;
});

/** The place in the skin with most of the joint's mass; null where no skin has a usable one. */
function builtPlace(
  facts: Facts,
  standing: readonly Mat4[],
  joint: number,
  rest: Mat4,
): Mat4 | null {
  const moves = skinMass(facts).moves[joint] === 1;
  let best: { readonly matrix: Mat4; readonly mass: number } | null = null;
  for (const place of skinsOfJoint(facts)[joint] ?? []) {
    const skin = facts.rig.skins[place];
    const slot = skin?.slotOfJoint[joint] ?? -1;
    const mass = massBySkin(facts)[place]?.get(joint) ?? 0;
    const inverse = builtMatrices(facts)[place]?.[slot];
    const at = standing[place];
    // A skin without matrices does not say where it was built.
    if (inverse == null || at === undefined || skin == null || skin.matrixCount === null) continue;
    if (best !== null && mass <= best.mass) continue;
    const matrix = multiply(at, inverse);
    const isUnset = !moves && isIdentity(mat4At(skin.inverseBind, slot));
    if (!isUnset || near(matrix, rest)) best = { matrix, mass };
  }
  return best === null || skew(best.matrix) > 0.999 ? null : best.matrix;
}

function restAgainstParent(facts: Facts, bindWorld: Float64Array, joint: number): Mat4 {
  const { nodes, joints } = facts.rig;
  const node = joints.node[joint] ?? 0;
  const parent = joints.parent[joint] ?? -1;
  if (parent === -1) return mat4At(nodes.world, node);
  const above = mat4At(bindWorld, parent);
  const spacers = joints.spacers[joint] ?? [];
  const between = spacers.length > 0 ? spacerMatrices(facts).get(spacers) : undefined;
  const base = between === undefined ? above : multiply(above, between);
  return multiply(base, mat4At(nodes.local, node));
}

/** One product of stored matrices for each run of spacers, however many joints hang below it. */
const spacerMatrices = fact(({ rig }): ReadonlyMap<readonly number[], Mat4> => {
  const product = (matrix: Mat4, spacer: number): Mat4 =>
    multiply(matrix, mat4At(rig.nodes.local, spacer));
  const runs = new Set(rig.joints.spacers);
  return new Map([...runs].map((list) => [list, list.reduce(product, identity())]));
});

/** Exports leave the identity for joints that move nothing: it does not place them. */
export function isIdentity(matrix: Mat4): boolean {
  return matrix.every((value, index) => Math.abs(value - (index % 5 === 0 ? 1 : 0)) < 1e-6);
}
