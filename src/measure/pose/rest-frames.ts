import { column, mat4At, origin } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import { direction, type Vec3 } from '../../rig/vec3.js';

/** Arrows along the three axes of a joint as stored; world space. */
export function axisWorldRest(
  rig: Rig,
  joint: number,
): { readonly kind: 'arrow'; readonly label: string; readonly from: Vec3; readonly along: Vec3 }[] {
  const matrix = mat4At(rig.nodes.world, rig.joints.node[joint] ?? 0);
  return [0, 1, 2].map((axis) => ({
    kind: 'arrow' as const,
    label: `${'XYZ'[axis]} axis`,
    from: origin(matrix),
    along: direction(column(matrix, axis)) ?? [0, 0, 0],
  }));
}
