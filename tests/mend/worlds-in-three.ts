// Source: three.js (npm `three`): `GLTFLoader` makes the tree of `Object3D` from the JSON, `AnimationMixer`
// plays its clips, `Object3D.matrixWorld` tells where each node stands.
import { AnimationMixer, type Object3D } from 'three';
import { loadInThree } from '../support/three-scene.js';

/** Seconds: keys, between keys, past the end of the props' own keys. */
export const TIMES = [0, 0.25, 0.5, 1, 1.3, 1.9];

/** World matrices of all nodes by name: at rest, and with all clips playing at each of `TIMES`. */
export async function worldsInThree(bytes: Uint8Array): Promise<Map<string, number[]>[]> {
  const { nodes, clips } = await loadInThree(bytes);
  const [first] = nodes.values();
  if (first === undefined) throw new Error('there are nodes');
  let top: Object3D = first;
  while (top.parent !== null) top = top.parent;
  const worlds = (): Map<string, number[]> => {
    top.updateMatrixWorld(true);
    return new Map([...nodes.values()].map((node) => [node.name, node.matrixWorld.toArray()]));
  };
  const found = [worlds()];
  const mixer = new AnimationMixer(top);
  for (const clip of clips) mixer.clipAction(clip).play();
  for (const time of TIMES) {
    mixer.setTime(time);
    found.push(worlds());
  }
  return found;
}

/** The largest difference of a matrix entry at any time, of the nodes that `of` names. */
export async function farthestInThree(
  before: Uint8Array,
  after: Uint8Array,
  of: (name: string) => boolean,
): Promise<number> {
  const [a, b] = await Promise.all([worldsInThree(before), worldsInThree(after)]);
  let worst = 0;
  let compared = 0;
  a.forEach((worlds, at) => {
    for (const [name, matrix] of worlds) {
      if (!of(name)) continue;
      compared++;
      const other = b[at]?.get(name) ?? [];
      matrix.forEach((value, i) => {
        worst = Math.max(worst, Math.abs(value - (other[i] ?? Number.NaN)));
      });
    }
  });
  if (compared === 0) throw new Error('no node was compared');
  return Number.isNaN(worst) ? Infinity : worst;
}
