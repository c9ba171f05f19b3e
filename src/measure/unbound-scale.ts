import { determinant3, mat4At } from '../rig/mat4.js';
import type { Rig, RigSkin } from '../rig/types.js';
import { vec3At } from '../rig/vec3.js';
import { builtMatrices } from './bind-pose.js';
import type { Facts } from './facts.js';

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
 * A scale on a topmost joint moves all joints and the whole mesh alike, so that no place tells whether
 * it was there when bound. The inverse bind matrix does: the joint was built with the scale s(B^-1). The
 * scale was not there where that is 1, or what the holders come to, and neither of them times the
 * joint's own. Anything else, such as a dequantisation that is baked in, says nothing.
 *
 * @param least How far from 1 a scale has to be. Share.
 */
export function unboundScales(facts: Facts, least: number): UnboundScale[] {
  const { rig } = facts;
  return Array.from(rig.joints.parent).flatMap((parent, joint) => {
    if (parent !== -1) return [];
    const node = rig.joints.node[joint] ?? 0;
    const [x, y, z] = vec3At(rig.nodes.scale, node);
    const scale = Math.cbrt(Math.abs(x * y * z));
    if (!(Math.abs(scale - 1) > least)) return [];
    const built = rig.skins.flatMap((skin, place) => builtScale(facts, skin, place, joint) ?? []);
    const held = worldScale(rig, rig.nodes.parent[node] ?? -1);
    const shown = rig.meshNodes.map((mesh) => worldScale(rig, mesh));
    const without = [1, held];
    const within = [scale, scale * held, ...shown.map((mesh) => (scale * held) / mesh)];
    const isUnbound =
      built.length > 0 && built.every((own) => isOneOf(own, without) && !isOneOf(own, within));
    return isUnbound ? [{ joint, scale, clip: clipWith(rig, node) }] : [];
  });
}

/** The first clip that keys the stored scale; null for none. */
function clipWith({ clips, nodes }: Rig, node: number): string | null {
  const stored = vec3At(nodes.scale, node);
  const keys = clips.find(({ channels }) =>
    channels.some(
      ({ node: target, path, values }) =>
        target === node &&
        path === 'scale' &&
        values.some(
          (_, at) => at % 3 === 0 && stored.every((own, axis) => near(own, values[at + axis])),
        ),
    ),
  );
  return keys?.name ?? null;
}

function near(own: number, key: number | undefined): boolean {
  return key !== undefined && Math.abs(key - own) <= SAME * Math.abs(own);
}

function builtScale(facts: Facts, skin: RigSkin, place: number, joint: number): number | null {
  const slot = skin.slotOfJoint[joint] ?? -1;
  const built = slot === -1 ? null : builtMatrices(facts)[place]?.[slot];
  // A skin without matrices says nothing of where it was built.
  return built == null || skin.matrixCount === null
    ? null
    : Math.cbrt(Math.abs(determinant3(built)));
}

function worldScale(rig: Rig, node: number): number {
  return node === -1 ? 1 : Math.cbrt(Math.abs(determinant3(mat4At(rig.nodes.world, node))));
}

function isOneOf(scale: number, list: readonly number[]): boolean {
  return list.some((other) => Math.abs(scale / other - 1) <= SAME);
}
