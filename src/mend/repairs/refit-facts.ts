import type { Rig, RigModel } from '../../rig/types.js';
import { vec3At } from '../../rig/vec3.js';

/** Joints, spacers and holders of all rigs: all that stands between the scene and a joint. */
export function carriersOf({ rigs }: RigModel): Set<number> {
  return new Set(
    rigs.flatMap(({ joints, holders }) => [
      ...joints.node,
      ...holders,
      ...[...new Set(joints.spacers)].flat(),
    ]),
  );
}

/** A key that is nearer to the stored scale only repeats it, as exports that key everything do. Share. */
const SAME_SCALE = 1e-3;

/** The first clip that gives each node another scale than it stores. */
export function scalingClips({ nodes, rigs }: RigModel): Map<number, string> {
  const found = new Map<number, string>();
  for (const { name, channels } of rigs.flatMap(({ clips }) => clips))
    for (const { node, path, values } of channels) {
      if (path !== 'scale' || found.has(node)) continue;
      const stored = vec3At(nodes.scale, node);
      // The tangents of a cubic spline are no scales, so that one always counts as scaling.
      const repeats = values.every((value, at) => {
        const own = stored[at % 3] ?? 1;
        return Math.abs(value - own) <= SAME_SCALE * Math.abs(own);
      });
      if (!repeats) found.set(node, name);
    }
  return found;
}

/** Nodes of the joints of skins that give fewer matrices than they have joints. */
export function jointsWithoutMatrix({ rigs }: RigModel): Set<number> {
  const found = new Set<number>();
  for (const { skins, joints } of rigs)
    for (const { matrixCount, jointOfSlot } of skins)
      if (matrixCount !== null && matrixCount < jointOfSlot.length)
        for (const joint of jointOfSlot) found.add(joints.node[joint] ?? -1);
  return found;
}

/**
 * Whether a joint is in a skin that gives fewer matrices than it has joints, or none while it moves a
 * mesh. Identities in their place would move nothing, but say that all joints were built at the origin.
 */
export function hasNoMatrix({ skins, parts }: Rig, joint: number): boolean {
  return skins.some(({ matrixCount, jointOfSlot, slotOfJoint }, place) => {
    if ((slotOfJoint[joint] ?? -1) === -1) return false;
    if (matrixCount === null) return parts.some(({ skin }) => skin === place);
    return matrixCount < jointOfSlot.length;
  });
}
