import { Matrix4, Quaternion, Vector3 } from 'three';
import type { LiveRig, Parts } from './live-rig.js';

/** How a rig stands. */
export type Pose =
  | { readonly kind: 'rest' }
  | { readonly kind: 'clip'; readonly clip: number; readonly seconds: number }
  | ({ readonly kind: 'curl' } & Curl);

export interface Curl {
  /** Index in the rig's chains. */
  readonly chain: number;
  readonly about: 'up' | 'side';
  /** 0 to 1 of a whole curl. */
  readonly share: number;
  /** Whose axes the joints turn about: their own, or those of frames carried along the chain. */
  readonly frames: 'own' | 'ideal';
}

/** A whole curl, all joints together. */
export const CURL_DEGREES = 90;

/** Gives every bone its local matrix in a pose. */
export function pose(rig: LiveRig, how: Pose): void {
  rig.bones.forEach((bone, node) => {
    const local = rig.rest[node]?.local;
    if (local !== undefined) bone.matrix.copy(local);
  });
  if (how.kind === 'clip') poseClip(rig, how.clip, how.seconds);
  if (how.kind === 'curl') poseCurl(rig, how);
}

function poseClip(rig: LiveRig, clip: number, seconds: number): void {
  const changed = new Map<number, Parts>();
  for (const { node, path, at } of rig.clips[clip]?.tracks ?? []) {
    const rest = rig.rest[node]?.parts;
    if (rest === null || rest === undefined) continue;
    const parts = changed.get(node) ?? {
      translation: rest.translation.clone(),
      rotation: rest.rotation.clone(),
      scale: rest.scale.clone(),
    };
    const [x = 0, y = 0, z = 0, w = 1] = Array.from(at(seconds));
    if (path === 'rotation') parts.rotation.set(x, y, z, w).normalize();
    else parts[path].set(x, y, z);
    changed.set(node, parts);
  }
  for (const [node, { translation, rotation, scale }] of changed)
    rig.bones[node]?.matrix.compose(translation, rotation, scale);
}

/** Turns each joint of a chain after its first by an equal share, in its own local frame. */
function poseCurl(rig: LiveRig, { chain, about, share, frames }: Curl): void {
  const found = rig.data.chains[chain];
  if (found === undefined) return;
  const { joints } = found;
  const angle = (share * CURL_DEGREES * Math.PI) / 180 / (joints.length - 1);
  joints.forEach((joint, place) => {
    const [x = 0, y = 0, z = 0] = found.about[about][frames][place] ?? [];
    const node = rig.data.jointNodes[joint] ?? -1;
    const [bone, rest] = [rig.bones[node], rig.rest[node]];
    if (place === 0 || bone === undefined || rest === undefined) return;
    const turn = new Quaternion().setFromAxisAngle(new Vector3(x, y, z), angle);
    const { parts, local } = rest;
    if (parts === null) {
      bone.matrix.multiplyMatrices(local, new Matrix4().makeRotationFromQuaternion(turn));
    } else {
      const rotation = new Quaternion().multiplyQuaternions(parts.rotation, turn);
      bone.matrix.compose(parts.translation, rotation, parts.scale);
    }
  });
}
