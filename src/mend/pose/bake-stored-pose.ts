import { bindPose } from '../../measure/pose/bind-pose.js';
import { visible } from '../../report/visible.js';
import { firstImmeasurable } from '../../rig/denormalise.js';
import { invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Rig, SkinnedPart } from '../../rig/types.js';
import { writeInverseBinds } from '../file/inverse-bind.js';
import type { PartLook } from '../proof/looks.js';
import type { MendContext } from '../repair.js';

/**
 * Binds the mesh of a rig as it stands: each vertex goes where the stored pose puts it, and each joint
 * is bound where it stands. Vertices that one joint moves stay what they were in clips; those between
 * joints bend from another shape. Null, or why it cannot be.
 */
export function bakeStoredPose(context: MendContext, rig: Rig): string | null {
  const { edit, looks } = context;
  const obstacle = sharedMesh(context, rig) ?? placeless(rig);
  if (obstacle !== null) return obstacle;
  const { reference } = bindPose(context.facts(rig));
  const skins = new Map<number, Float64Array>();
  for (const [place, skin] of rig.skins.entries()) {
    const target = reference[place];
    const matrices = new Float64Array(16 * skin.jointOfSlot.length);
    for (const [slot, joint] of skin.jointOfSlot.entries()) {
      const back = invert(mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0));
      if (back === null || target === undefined)
        return `"${visible(rig.joints.names[joint] ?? '')}" is scaled to zero, and this cannot be undone`;
      mat4At(matrices, slot).set(multiply(back, target));
    }
    skins.set(skin.index, matrices);
  }
  const done = new Set<string>();
  const bakes: Bake[] = [];
  for (const [index, part] of rig.parts.entries()) {
    const back = invert(reference[part.skin] ?? new Float64Array(16));
    const key = `${part.mesh} ${part.primitive}`;
    if (back === null || done.has(key)) continue;
    done.add(key);
    bakes.push({ part, back, look: looks?.parts[rig.index]?.[index] ?? null });
  }
  // Nothing is written before all of it is known to have a place.
  for (const { part, back } of bakes) {
    const positions = eachVertex(part.positions, 3, vertexMatrices(rig, part, back), 1);
    if (firstImmeasurable(positions) !== -1)
      return `the weights of "${visible(part.label)}" put vertices too far away to be measured; paint the weights again first`;
  }
  for (const bake of bakes) bakePart(context, rig, bake);
  writeInverseBinds(edit, skins);
  return null;
}

/** A mesh that is also shown elsewhere cannot take the pose of this rig. */
function sharedMesh({ edit }: MendContext, rig: Rig): string | null {
  const nodes = edit.json.nodes ?? [];
  for (const { mesh, node, label } of rig.parts) {
    const shown = nodes.flatMap((item, at) => ('mesh' in item && item.mesh === mesh ? [at] : []));
    if (shown.some((other) => other !== node && nodes[other]?.skin !== nodes[node]?.skin))
      return `the mesh of "${visible(label)}" is also shown by another node, with another skin or without a skin`;
  }
  return null;
}

/** A vertex with a weight that is no number stands nowhere, and cannot be bound there. */
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

/** A primitive that is to be bound as it stands, and the way back from its reference. */
interface Bake {
  readonly part: SkinnedPart;
  readonly back: Mat4;
  readonly look: PartLook | null;
}

function bakePart({ edit }: MendContext, rig: Rig, { part, back, look }: Bake): void {
  const { mesh, primitive, vertexCount, positions } = part;
  const moved = vertexMatrices(rig, part, back);
  const user = { kind: 'attribute' as const, mesh, primitive };
  edit.write({ ...user, name: 'POSITION' }, eachVertex(positions, 3, moved, 1));
  // A normal keeps its length, and what morph targets add to it shrinks or grows alike.
  const lengths = new Float64Array(vertexCount).fill(1);
  if (look?.normals != null) {
    const turned = eachVertex(look.normals, 3, moved, 0);
    edit.write({ ...user, name: 'NORMAL' }, unit(turned, 3, lengths));
  }
  const reach = new Float64Array(vertexCount).fill(1);
  if (look?.tangents != null) {
    const turned = eachVertex(look.tangents, 4, moved, 0);
    edit.write({ ...user, name: 'TANGENT' }, unit(turned, 4, reach));
  }
  look?.targets.forEach(({ positions: shift, normals, tangents }, target) => {
    if (shift !== null)
      edit.write({ ...user, target, name: 'POSITION' }, eachVertex(shift, 3, moved, 0));
    if (normals !== null)
      edit.write(
        { ...user, target, name: 'NORMAL' },
        shrunk(eachVertex(normals, 3, moved, 0), lengths),
      );
    if (tangents !== null)
      edit.write(
        { ...user, target, name: 'TANGENT' },
        shrunk(eachVertex(tangents, 3, moved, 0), reach),
      );
  });
}

/** Differences from what was made of unit length, x, y, z a vertex, as much shorter. */
function shrunk(values: Float32Array, lengths: Float64Array): Float32Array {
  return values.map((value, at) => value / (lengths[Math.floor(at / 3)] ?? 1));
}

/** M_ref^-1 times the sum of w W B of each vertex in the stored pose; the identity without weights. */
function vertexMatrices(rig: Rig, part: SkinnedPart, back: Mat4): Float64Array {
  const { jointOfSlot = new Int32Array(), inverseBind = new Float64Array() } =
    rig.skins[part.skin] ?? {};
  const bySlot = Array.from(jointOfSlot, (joint, slot) =>
    multiply(
      back,
      multiply(mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0), mat4At(inverseBind, slot)),
    ),
  );
  const out = new Float64Array(16 * part.vertexCount);
  for (let vertex = 0; vertex < part.vertexCount; vertex++) {
    const own = mat4At(out, vertex);
    let sum = 0;
    for (let k = part.influences * vertex; k < part.influences * (vertex + 1); k++) {
      const weight = part.weights[k] ?? 0;
      const matrix = bySlot[part.slots[k] ?? 0];
      if (weight === 0 || matrix === undefined) continue;
      sum += weight;
      for (let i = 0; i < 16; i++) own[i] = (own[i] ?? 0) + weight * (matrix[i] ?? 0);
    }
    if (sum === 0) own[0] = own[5] = own[10] = own[15] = 1;
    // Sums that are not full shrink the place itself; bound anew they do so again.
    else for (let i = 0; i < 16; i++) own[i] = (own[i] ?? 0) / sum;
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

/** The same made of unit length; `lengths` takes what they had. */
function unit(values: Float32Array, size: 3 | 4, lengths: Float64Array): Float32Array {
  for (let vertex = 0; size * vertex < values.length; vertex++) {
    const at = size * vertex;
    const length = Math.hypot(values[at] ?? 0, values[at + 1] ?? 0, values[at + 2] ?? 0);
    lengths[vertex] = length > 0 ? length : 1;
    for (let i = at; i < at + 3; i++) values[i] = (values[i] ?? 0) / (lengths[vertex] ?? 1);
  }
  return values;
}
