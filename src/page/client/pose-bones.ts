import type { Turn } from '../../draw/curl-view.js';
import type { LiveBones, Parts } from './live-bones.js';
import type { LiveClip } from './live-clip.js';

/** What poses a rig: the file as stored, a clip or a curl. */
export type Pose =
  | { readonly kind: 'rest' }
  | { readonly kind: 'clip'; readonly clip: number; readonly seconds: number }
  | ({ readonly kind: 'curl' } & Curl);

/** Every joint of a chain, turned about the same letter by the same amount. */
export interface Curl extends Turn {
  /** Index in the rig's chains, -1 for none. */
  readonly chain: number;
  /** Whose axes the joints turn about: their own, or those of frames carried along the chain. */
  readonly frames: 'own' | 'carried';
}

/** Sets the local matrix of every bone to what is stored. */
export function poseRest({ bones, rest }: LiveBones): void {
  bones.forEach((bone, node) => {
    const local = rest[node]?.local;
    if (local !== undefined) bone.matrix.copy(local);
  });
}

/** Sets the local matrices of the bones that a clip poses. */
export function poseClip({ bones, rest }: LiveBones, clip: LiveClip, seconds: number): void {
  const changed = new Map<number, Parts>();
  for (const { node, path, at } of clip.tracks) {
    const stored = rest[node]?.parts;
    if (!stored) continue;
    const parts = changed.get(node) ?? {
      translation: stored.translation.clone(),
      rotation: stored.rotation.clone(),
      scale: stored.scale.clone(),
    };
    const [x = 0, y = 0, z = 0, w = 1] = Array.from(at(seconds));
    if (path === 'rotation') parts.rotation.set(x, y, z, w).normalize();
    else parts[path].set(x, y, z);
    changed.set(node, parts);
  }
  for (const [node, { translation, rotation, scale }] of changed)
    bones[node]?.matrix.compose(translation, rotation, scale);
}
