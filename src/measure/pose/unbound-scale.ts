import { meanFactor } from '../../rig/decompose.js';
import { determinant3, mat4At } from '../../rig/mat4.js';
import type { Rig, RigSkin } from '../../rig/types.js';
import { vec3At } from '../../rig/vec3.js';
import type { Facts } from '../facts.js';
import { bindPose, builtMatrices, isIdentity } from './bind-pose.js';

/** A topmost joint whose stored scale was not there when the mesh was bound. */
export interface UnboundScale {
  readonly joint: number;
  /** Geometric mean of its stored factors' magnitudes. */
  readonly scale: number;
  /** A clip that keys this scale; null for none. */
  readonly clip: string | null;
}

/** Two scales within this are the same. Share. */
const SAME = 0.01;

/**
 * A scale on a topmost joint moves all joints and the whole mesh alike, so that no place shows
 * whether it was there when bound. The inverse bind matrices do: the heaviest joint of a skin has
 * the stored world scale s and was built with the scale s(B^-1). The scale k of its topmost joint
 * was not there where s(B^-1) is s / k, with or without the holders, and is not s, s without the
 * holders or s against a mesh node. Anything else, such as a dequantisation that is baked in, shows
 * nothing; nor does a skin whose matrices are all the identity. Scales within `least` of 1 (share)
 * are left out.
 */
export function unboundScales(facts: Facts, least: number): UnboundScale[] {
  const { rig } = facts;
  const unboundTops = new Map<number, boolean>();
  // Told apart once: hundreds of meshes, each with a skin of its own, mostly have one.
  const scales = new Set(rig.meshNodes.map((mesh) => worldScale(rig, mesh)));
  rig.skins.forEach((skin, index) => {
    const heaviest = bindPose(facts).referenceJoint[index] ?? -1;
    let top = heaviest;
    for (let at = heaviest; at !== -1; at = rig.joints.parent[at] ?? -1) top = at;
    const without = top === -1 ? null : builtWithout(facts, skin, index, heaviest, top, scales);
    if (without !== null) unboundTops.set(top, (unboundTops.get(top) ?? true) && without);
  });
  return [...unboundTops]
    .sort(([a], [b]) => a - b)
    .flatMap(([joint, isUnbound]) => {
      const node = rig.joints.node[joint] ?? 0;
      const scale = meanFactor(vec3At(rig.nodes.scale, node));
      if (!isUnbound || !(Math.abs(scale - 1) > least)) return [];
      return [{ joint, scale, clip: clipWith(rig, node) }];
    });
}

/** Whether a skin was built without the scale of its topmost joint; null where that is unknown. */
function builtWithout(
  facts: Facts,
  skin: RigSkin,
  index: number,
  heaviest: number,
  top: number,
  meshScales: ReadonlySet<number>,
): boolean | null {
  const { rig } = facts;
  const built = builtMatrices(facts)[index]?.[skin.slotOfJoint[heaviest] ?? -1];
  if (built == null || skin.matrixCount === null) return null;
  if (skin.jointOfSlot.every((_, slot) => isIdentity(mat4At(skin.inverseBind, slot)))) return null;
  const node = rig.joints.node[top] ?? 0;
  const topScale = meanFactor(vec3At(rig.nodes.scale, node));
  const held = worldScale(rig, rig.nodes.parent[node] ?? -1);
  const stored = worldScale(rig, rig.joints.node[heaviest] ?? 0);
  const shown = [...meshScales].map((mesh) => stored / mesh);
  const scale = Math.cbrt(Math.abs(determinant3(built)));
  const isOneOf = (scales: readonly number[]): boolean =>
    scales.some((other) => Math.abs(scale / other - 1) <= SAME);
  const without = stored / topScale;
  return isOneOf([without, without / held]) && !isOneOf([stored, stored / held, ...shown]);
}

/** The first clip that keys the stored scale; null for none. */
function clipWith({ clips, nodes }: Rig, node: number): string | null {
  const stored = vec3At(nodes.scale, node);
  const isKey = (values: Float32Array, at: number): boolean =>
    stored.every((factor, axis) => {
      return Math.abs((values[at + axis] ?? NaN) - factor) <= SAME * Math.abs(factor);
    });
  const clip = clips.find(({ channels }) =>
    channels
      .filter((channel) => channel.node === node && channel.path === 'scale')
      .some(({ values }) => values.some((_, at) => at % 3 === 0 && isKey(values, at))),
  );
  return clip?.name ?? null;
}

function worldScale(rig: Rig, node: number): number {
  return node === -1 ? 1 : Math.cbrt(Math.abs(determinant3(mat4At(rig.nodes.world, node))));
}
