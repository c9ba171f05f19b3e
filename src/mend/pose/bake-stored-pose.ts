import { memberOf } from '../../asset/narrow.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import { visible } from '../../report/visible.js';
import { firstImmeasurable } from '../../rig/denormalise.js';
import { invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Rig, SkinnedPart } from '../../rig/types.js';
import type { Editable } from '../file/editable.js';
import { writeInverseBinds } from '../file/inverse-bind.js';
import type { PartLook } from '../proof/looks.js';
import type { MendContext } from '../repair.js';

/** A primitive that is to be bound in the stored pose, and the way back from its reference. */
interface Bake {
  readonly part: SkinnedPart;
  readonly back: Mat4;
  readonly look: PartLook | null;
}

/**
 * Binds the mesh of a rig in the stored pose: each vertex goes where that pose puts it, and each joint
 * is bound in its stored place. Vertices that one joint moves stay what they were in clips; those between
 * joints bend from another shape. Null, or why it cannot be.
 */
export function bakeStoredPose(context: MendContext, rig: Rig): string | null {
  const { edit, looks } = context;
  const obstacle = whyNotBaked(context, rig);
  if (obstacle !== null) return obstacle;
  const { reference } = bindPose(context.facts(rig));
  const skins = new Map<number, Float64Array>();
  for (const [place, skin] of rig.skins.entries()) {
    const target = reference[place];
    const inverseBind = new Float64Array(16 * skin.jointOfSlot.length);
    for (const [slot, joint] of skin.jointOfSlot.entries()) {
      const back = invert(mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0));
      if (back === null || target === undefined)
        return `"${visible(rig.joints.names[joint] ?? '')}" is scaled to zero, and this cannot be undone`;
      mat4At(inverseBind, slot).set(multiply(back, target));
    }
    skins.set(skin.index, inverseBind);
  }
  const bakes = new Map<string, Bake>();
  for (const [index, part] of rig.parts.entries()) {
    const back = invert(reference[part.skin] ?? new Float64Array(16));
    const key = `${part.mesh} ${part.primitive}`;
    if (back === null || bakes.has(key)) continue;
    // Nothing is written before all of it is known to have a place.
    const positions = eachVertex(part.positions, 3, vertexMatrices(rig, part, back), 1);
    if (firstImmeasurable(positions) !== -1)
      return `the weights of "${visible(part.label)}" put vertices too far away to be measured; paint the weights again first`;
    bakes.set(key, { part, back, look: looks?.parts[rig.index]?.[index] ?? null });
  }
  for (const bake of bakes.values()) bakePart(edit, rig, bake);
  writeInverseBinds(edit, skins);
  return null;
}

/** Why a mesh cannot be bound in the stored pose, as far as its JSON and its weights tell; null where it can. */
export function whyNotBaked(context: MendContext, rig: Rig): string | null {
  return sharedMesh(context, rig) ?? placeless(rig);
}

/** A mesh that is also shown elsewhere cannot take the pose of this rig. */
function sharedMesh({ edit }: MendContext, rig: Rig): string | null {
  const nodes = edit.json.nodes ?? [];
  const shared = rig.parts.find(({ mesh, node }) =>
    nodes.some(
      (other, at) =>
        at !== node && memberOf(other, 'mesh') === mesh && other.skin !== nodes[node]?.skin,
    ),
  );
  return shared === undefined
    ? null
    : `the mesh of "${visible(shared.label)}" is also shown by another node, with another skin or without a skin`;
}

/** A vertex with a weight that is not a number has no place, and cannot be bound there. */
function placeless(rig: Rig): string | null {
  for (const { label, influences, vertexCount, weights } of rig.parts) {
    const lost = new Set<number>();
    weights.forEach((weight, at) => {
      if (!Number.isFinite(weight)) lost.add(Math.floor(at / influences));
    });
    if (lost.size > 0)
      return `${lost.size} of ${vertexCount} vertices of "${visible(label)}" have a weight that is not a number, so they have no place; paint their weights again first`;
  }
  return null;
}

function bakePart(edit: Editable, rig: Rig, { part, back, look }: Bake): void {
  const { mesh, primitive, vertexCount, positions } = part;
  const matrices = vertexMatrices(rig, part, back);
  const user = { kind: 'attribute', mesh, primitive } as const;
  edit.write({ ...user, name: 'POSITION' }, eachVertex(positions, 3, matrices, 1));
  // A normal keeps its length, and what morph targets add to it shrinks or grows alike.
  const lengths = new Float64Array(vertexCount).fill(1);
  if (look?.normals != null) {
    const turned = eachVertex(look.normals, 3, matrices, 0);
    edit.write({ ...user, name: 'NORMAL' }, unit(turned, 3, lengths));
  }
  const reach = new Float64Array(vertexCount).fill(1);
  if (look?.tangents != null) {
    const turned = eachVertex(look.tangents, 4, matrices, 0);
    edit.write({ ...user, name: 'TANGENT' }, unit(turned, 4, reach));
  }
  look?.targets.forEach((shift, target) => {
    const lists = [
      ['POSITION', shift.positions, null],
      ['NORMAL', shift.normals, lengths],
      ['TANGENT', shift.tangents, reach],
    ] as const;
    for (const [name, values, shrunkBy] of lists) {
      if (values === null) continue;
      const turned = eachVertex(values, 3, matrices, 0);
      // Differences from what was made of unit length become as much shorter.
      const shorter = turned.map((value, at) => value / (shrunkBy?.[Math.floor(at / 3)] ?? 1));
      edit.write({ ...user, target, name }, shorter);
    }
  });
}

/** M_ref^-1 times the sum of w W B of each vertex in the stored pose; the identity without weights. */
function vertexMatrices(rig: Rig, part: SkinnedPart, back: Mat4): Float64Array {
  const { jointOfSlot = new Int32Array(), inverseBind = new Float64Array() } =
    rig.skins[part.skin] ?? {};
  const bySlot = Array.from(jointOfSlot, (joint, slot) => {
    const world = mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0);
    return multiply(back, multiply(world, mat4At(inverseBind, slot)));
  });
  const out = new Float64Array(16 * part.vertexCount);
  for (let vertex = 0; vertex < part.vertexCount; vertex++) {
    const blended = mat4At(out, vertex);
    let sum = 0;
    for (let k = part.influences * vertex; k < part.influences * (vertex + 1); k++) {
      const weight = part.weights[k] ?? 0;
      const matrix = bySlot[part.slots[k] ?? 0];
      if (weight === 0 || matrix === undefined) continue;
      sum += weight;
      for (let i = 0; i < 16; i++) blended[i] = (blended[i] ?? 0) + weight * (matrix[i] ?? 0);
    }
    if (sum === 0) blended[0] = blended[5] = blended[10] = blended[15] = 1;
    // Sums that are not full shrink the place itself; bound anew they do so again.
    else for (let i = 0; i < 16; i++) blended[i] = (blended[i] ?? 0) / sum;
  }
  return out;
}

/** Places (w = 1) or differences (w = 0) of `size` numbers a vertex, x, y, z first, through each vertex's matrix. */
function eachVertex(
  values: Float32Array,
  size: 3 | 4,
  matrices: Float64Array,
  w: 0 | 1,
): Float32Array {
  const out = Float32Array.from(values);
  for (let vertex = 0; size * vertex < values.length; vertex++) {
    const [m, at] = [16 * vertex, size * vertex];
    const [x = 0, y = 0, z = 0] = values.subarray(at, at + 3);
    for (let row = 0; row < 3; row++)
      out[at + row] =
        (matrices[m + row] ?? 0) * x +
        (matrices[m + 4 + row] ?? 0) * y +
        (matrices[m + 8 + row] ?? 0) * z +
        w * (matrices[m + 12 + row] ?? 0);
  }
  return out;
}

/** Makes directions unit length; their lengths go into `lengths`. */
function unit(values: Float32Array, size: 3 | 4, lengths: Float64Array): Float32Array {
  for (let vertex = 0; size * vertex < values.length; vertex++) {
    const at = size * vertex;
    const length = Math.hypot(values[at] ?? 0, values[at + 1] ?? 0, values[at + 2] ?? 0);
    lengths[vertex] = length > 0 ? length : 1;
    for (let i = at; i < at + 3; i++) values[i] = (values[i] ?? 0) / (lengths[vertex] ?? 1);
  }
  return values;
}
