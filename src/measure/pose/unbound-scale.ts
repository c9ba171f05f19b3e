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
 * A scale on a topmost joint moves all joints and the whole mesh alike, so that no place tells whether
 * it was there when bound. The inverse bind matrices do: with s the stored world scale of the heaviest
 * joint of a skin, that was built with the scale s(B^-1). The scale k of its topmost joint was not there
 * where that is s / k, or so below the holders, and it is neither s nor that below the holders or beside
 * the mesh node. Anything else, such as a dequantisation that is baked in, says nothing; nor does a skin
 * of which all matrices are the identity.
 *
 * @param least How far from 1 a scale has to be. Share.
 */
export function unboundScales(facts: Facts, least: number): UnboundScale[] {
  const { rig } = facts;
  const told = new Map<number, boolean>();
  rig.skins.forEach((skin, place) => {
    const heaviest = bindPose(facts).referenceJoint[place] ?? -1;
    const top = topOf(rig, heaviest);
    const without = top === -1 ? null : builtWithout(facts, skin, place, { heaviest, top });
    if (without !== null) told.set(top, (told.get(top) ?? true) && without);
  });
  return [...told]
    .sort(([a], [b]) => a - b)
    .flatMap(([joint, isUnbound]) => {
      const node = rig.joints.node[joint] ?? 0;
      const scale = meanFactor(vec3At(rig.nodes.scale, node));
      return isUnbound && Math.abs(scale - 1) > least
        ? [{ joint, scale, clip: clipWith(rig, node) }]
        : [];
    });
}

/** Whether a skin was built without the scale of its topmost joint; null where it does not say. */
function builtWithout(
  facts: Facts,
  skin: RigSkin,
  place: number,
  { heaviest, top }: { readonly heaviest: number; readonly top: number },
): boolean | null {
  const { rig } = facts;
  const built = builtMatrices(facts)[place]?.[skin.slotOfJoint[heaviest] ?? -1];
  if (built == null || skin.matrixCount === null) return null;
  if (skin.jointOfSlot.every((_, slot) => isIdentity(mat4At(skin.inverseBind, slot)))) return null;
  const node = rig.joints.node[top] ?? 0;
  const own = meanFactor(vec3At(rig.nodes.scale, node));
  const held = worldScale(rig, rig.nodes.parent[node] ?? -1);
  const stored = worldScale(rig, rig.joints.node[heaviest] ?? 0);
  const shown = rig.meshNodes.map((mesh) => stored / worldScale(rig, mesh));
  const was = Math.cbrt(Math.abs(determinant3(built)));
  return (
    isOneOf(was, [stored / own, stored / own / held]) &&
    !isOneOf(was, [stored, stored / held, ...shown])
  );
}

function topOf({ joints }: Rig, joint: number): number {
  let top = joint;
  for (let at = joint; at !== -1; at = joints.parent[at] ?? -1) top = at;
  return top;
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

function worldScale(rig: Rig, node: number): number {
  return node === -1 ? 1 : Math.cbrt(Math.abs(determinant3(mat4At(rig.nodes.world, node))));
}

function isOneOf(scale: number, list: readonly number[]): boolean {
  return list.some((other) => Math.abs(scale / other - 1) <= SAME);
}
