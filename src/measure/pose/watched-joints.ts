import { type Box, boxAround, boxAt, cornersOf } from '../../rig/box.js';
import { type Mat4, mat4At, transformPoint } from '../../rig/mat4.js';
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
      const box = boxAt(boxBySlot[index], slot);
      if (box === null || builtMatrices(facts)[part.skin]?.[slot] == null) return;
      const node = rig.joints.node[joint] ?? 0;
      const toJoint = mat4At(skin.inverseBind, slot);
      const corners = cornersOf(box).map((corner) => transformPoint(toJoint, corner));
      const known = boxes.get(node);
      boxes.set(
        node,
        boxAround(known === undefined ? corners : [...corners, known.min, known.max]),
      );
    });
  });
  const point: Box = { min: [0, 0, 0], max: [0, 0, 0] };
  if (boxes.size === 0) for (const node of rig.joints.node) boxes.set(node, point);
  return [...boxes].map(([node, box]) => ({ node, stored: mat4At(rig.nodes.world, node), ...box }));
}
