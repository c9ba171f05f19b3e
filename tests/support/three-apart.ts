// three.js (npm `three`) reads, poses and skins glTF with code of its own: `GLTFLoader`, `AnimationMixer`,
// `Mesh.getVertexPosition` for morph targets, and `SkinnedMesh.applyBoneTransform` in detached bind mode, where
// the mesh's own transform plays no part.
import { AnimationMixer, DetachedBindMode, SkinnedMesh, Vector3 } from 'three';
import { loadPlain, type PlainMesh, type PlainScene } from './three-plain.js';

/** Into every clip by these parts of its length. */
const MOMENTS = [0, 0.11, 0.23, 0.37, 0.5, 0.64, 0.83, 0.97];

/** The largest difference between two files, and where. */
export interface Apart {
  /** 1 is the diagonal of the box of all vertices at rest. */
  readonly share: number;
  readonly where: string;
  readonly vertices: number;
  readonly clips: number;
}

/**
 * Poses both files and takes every vertex in world space: at rest, at rest with each morph target alone at full
 * weight, and at some times of every clip. Throws Error where they do not hold the same meshes and clips.
 */
export async function farApart(before: Uint8Array, after: Uint8Array): Promise<Apart> {
  const unpacks = true;
  const [a, b] = [await loadPlain(before, { unpacks }), await loadPlain(after, { unpacks })];
  const pairs = pairsOf(a, b);
  const rest = pairs.map(([mesh]) => placesOf(mesh));
  const size = diagonalOf(rest) || 1;
  let [share, where] = [0, ''];
  const compare = (mesh: number, pose: string): void => {
    const [one, other] = pairs[mesh] ?? [];
    if (one === undefined || other === undefined) return;
    const [p, q] = [placesOf(one), placesOf(other)];
    for (let at = 0; at < p.length; at += 3) {
      const gap = Math.hypot(...[0, 1, 2].map((i) => (p[at + i] ?? 0) - (q[at + i] ?? 0))) / size;
      // A vertex that is nowhere in both is no difference; one that is in one alone is.
      const isGone = Number.isNaN(gap) && isNowhere(p, at) !== isNowhere(q, at);
      if (!(gap > share) && !isGone) continue;
      share = isGone ? Infinity : gap;
      where = `vertex ${at / 3} of ${one.object.name || `mesh ${one.mesh}`} ${pose}`;
    }
  };
  pairs.forEach((pair, mesh) => {
    compare(mesh, 'at rest');
    eachTargetAlone(pair, (target) => compare(mesh, `at rest with morph target ${target}`));
  });
  a.clips.forEach((clip, index) => {
    for (const moment of MOMENTS) {
      const stops = [a, b].map((scene) => playAt(scene, index, moment * clip.duration));
      for (const mesh of pairs.keys()) compare(mesh, `at ${moment} of clip "${clip.name}"`);
      for (const stop of stops) stop();
    }
  });
  const vertices = rest.reduce((sum, { length }) => sum + length / 3, 0);
  return { share, where, vertices, clips: a.clips.length };
}

/** The meshes of both, by node, mesh and primitive of the file. */
function pairsOf(a: PlainScene, b: PlainScene): (readonly [PlainMesh, PlainMesh])[] {
  const keyOf = ({ node, mesh, primitive }: PlainMesh): string => `${node} ${mesh} ${primitive}`;
  const others = new Map(b.meshes.map((mesh) => [keyOf(mesh), mesh]));
  if (others.size !== a.meshes.length || a.clips.length !== b.clips.length)
    throw new Error('the two do not hold the same meshes and clips');
  return a.meshes.map((mesh) => {
    const other = others.get(keyOf(mesh));
    if (other === undefined) throw new Error(`mesh ${mesh.mesh} is gone from node ${mesh.node}`);
    return [mesh, other] as const;
  });
}

/** Every vertex in world space, in the pose that the scene has. */
function placesOf({ object }: PlainMesh): Float64Array {
  const stored = object.geometry.getAttribute('position');
  const places = new Float64Array(3 * stored.count);
  const point = new Vector3();
  const isSkinned = object instanceof SkinnedMesh;
  if (isSkinned) object.bindMode = DetachedBindMode;
  if (isSkinned) object.updateMatrixWorld(true);
  for (let vertex = 0; vertex < stored.count; vertex++) {
    object.getVertexPosition(vertex, point);
    if (!isSkinned) point.applyMatrix4(object.matrixWorld);
    point.toArray(places, 3 * vertex);
  }
  return places;
}

function eachTargetAlone(pair: readonly PlainMesh[], show: (target: number) => void): void {
  const weights = pair.map(({ object }) => object.morphTargetInfluences ?? []);
  const stored = weights.map((list) => [...list]);
  for (const target of stored[0]?.keys() ?? []) {
    for (const list of weights) {
      list.fill(0);
      list[target] = 1;
    }
    show(target);
  }
  for (const [side, list] of weights.entries())
    list.splice(0, list.length, ...(stored[side] ?? []));
}

/** Moves a scene to a time of a clip; what it gives back puts it at rest again. */
function playAt({ top, clips }: PlainScene, index: number, seconds: number): () => void {
  const clip = clips[index];
  if (clip === undefined) return () => undefined;
  const mixer = new AnimationMixer(top);
  mixer.clipAction(clip).play();
  mixer.setTime(seconds);
  top.updateMatrixWorld(true);
  return () => {
    mixer.stopAllAction();
    top.updateMatrixWorld(true);
  };
}

function diagonalOf(meshes: readonly Float64Array[]): number {
  const sides = [0, 1, 2].map((axis) => {
    let [low, high] = [Infinity, -Infinity];
    for (const places of meshes)
      for (let at = axis; at < places.length; at += 3) {
        low = Math.min(low, places[at] ?? low);
        high = Math.max(high, places[at] ?? high);
      }
    return high - low;
  });
  const diagonal = Math.hypot(...sides);
  return Number.isFinite(diagonal) ? diagonal : 0;
}

function isNowhere(places: Float64Array, at: number): boolean {
  return ![0, 1, 2].every((i) => Number.isFinite(places[at + i]));
}
