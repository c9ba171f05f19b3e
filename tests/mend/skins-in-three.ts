// three.js (npm `three`) reads, poses and skins glTF with code of its own: `GLTFLoader`, `AnimationMixer` and
// `SkinnedMesh.applyBoneTransform` in detached bind mode, where the mesh's own transform plays no part.
import { AnimationMixer, DetachedBindMode, type Object3D, Vector3 } from 'three';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';

/** Into every clip by these parts of its length. */
export const MOMENTS = [0.11, 0.37, 0.5, 0.83];

/** Clip and seconds; clip -1 is the stored pose. */
export type Pose = readonly [clip: number, seconds: number];

export const REST: Pose = [-1, 0];

export function posesOf({ clips }: LoadedScene): Pose[] {
  return [
    REST,
    ...clips.flatMap(({ duration }, clip) =>
      MOMENTS.map((moment): Pose => [clip, moment * duration]),
    ),
  ];
}

/** Every vertex in world space, x, y, z in a row. */
export function placesIn(scene: LoadedScene, [index, seconds]: Pose): number[] {
  const clip = scene.clips[index];
  const top = topOf(scene);
  for (const { object } of scene.meshes) object.bindMode = DetachedBindMode;
  const mixer = clip === undefined ? null : new AnimationMixer(top);
  if (clip !== undefined) mixer?.clipAction(clip).play();
  mixer?.setTime(seconds);
  top.updateMatrixWorld(true);
  const places: number[] = [];
  const place = new Vector3();
  for (const { object } of scene.meshes) {
    const stored = object.geometry.getAttribute('position');
    for (let vertex = 0; vertex < stored.count; vertex++) {
      object.applyBoneTransform(vertex, place.fromBufferAttribute(stored, vertex));
      places.push(place.x, place.y, place.z);
    }
  }
  mixer?.stopAllAction();
  return places;
}

function topOf({ meshes }: LoadedScene): Object3D {
  let top: Object3D | undefined = meshes[0]?.object;
  while (top?.parent != null) top = top.parent;
  if (top === undefined) throw new Error('three.js loaded no mesh');
  return top;
}

export function farthest(a: readonly number[], b: readonly number[]): number {
  return a.reduce((most, value, at) => Math.max(most, Math.abs(value - (b[at] ?? Number.NaN))), 0);
}

export function reachOf(places: readonly number[]): number {
  return places.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
}

/** The largest difference between two files in the stored pose and in every clip; share of their reach. */
export async function farthestSkin(
  before: Uint8Array,
  after: Uint8Array,
  isAsked: (pose: Pose) => boolean = () => true,
): Promise<number> {
  const [a, b] = [await loadInThree(before), await loadInThree(after)];
  let most = 0;
  for (const pose of posesOf(a).filter(isAsked)) {
    const [old, made] = [placesIn(a, pose), placesIn(b, pose)];
    if (old.length !== made.length || old.length === 0) throw new Error('other vertices');
    most = Math.max(most, farthest(old, made) / reachOf(old));
  }
  return most;
}
