import { type Mat4, mat4At, transformPoint } from '../../rig/mat4.js';
import { type Vec3, vec3At } from '../../rig/vec3.js';
import type { Facts } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { builtMatrices } from './bind-pose.js';

/** A weighted joint, with a box around its vertices in its own frame. */
export interface Watched extends Box {
  readonly node: number;
  readonly stored: Mat4;
}

/** Each weighted joint once: primitives that are parted by material share their joints. */
export function watchedJoints(facts: Facts): Watched[] {
  const { rig } = facts;
  const { boxBySlot } = skinMass(facts);
  const boxes = new Map<number, Box>();
  rig.parts.forEach((part, index) => {
    const skin = rig.skins[part.skin];
    skin?.jointOfSlot.forEach((joint, slot) => {
      const box = boxBySlot[index]?.subarray(6 * slot, 6 * slot + 6);
      const isEmpty = box === undefined || !((box[0] ?? 0) <= (box[3] ?? -1));
      if (isEmpty || builtMatrices(facts)[part.skin]?.[slot] == null) return;
      const node = rig.joints.node[joint] ?? 0;
      const own = boxIn(mat4At(skin.inverseBind, slot), vec3At(box, 0), vec3At(box, 1));
      boxes.set(node, around(own, boxes.get(node) ?? own));
    });
  });
  const point: Box = { min: [0, 0, 0], max: [0, 0, 0] };
  if (boxes.size === 0) for (const node of rig.joints.node) boxes.set(node, point);
  return [...boxes].map(([node, box]) => ({
    node,
    stored: mat4At(rig.nodes.world, node),
    ...box,
  }));
}

interface Box {
  readonly min: Vec3;
  readonly max: Vec3;
}

function around(a: Box, b: Box): Box {
  const each = (choose: (...values: number[]) => number, key: 'min' | 'max'): Vec3 => [
    choose(a[key][0], b[key][0]),
    choose(a[key][1], b[key][1]),
    choose(a[key][2], b[key][2]),
  ];
  return { min: each(Math.min, 'min'), max: each(Math.max, 'max') };
}

/** The box around a box's corners after `matrix`. */
function boxIn(matrix: Mat4, min: Vec3, max: Vec3): Box {
  const corners = Array.from({ length: 8 }, (_, corner) =>
    transformPoint(matrix, [
      corner & 1 ? max[0] : min[0],
      corner & 2 ? max[1] : min[1],
      corner & 4 ? max[2] : min[2],
    ]),
  );
  const pick = (axis: 0 | 1 | 2, choose: (...values: number[]) => number): number =>
    choose(...corners.map((c) => c[axis]));
  return {
    min: [pick(0, Math.min), pick(1, Math.min), pick(2, Math.min)],
    max: [pick(0, Math.max), pick(1, Math.max), pick(2, Math.max)],
  };
}
