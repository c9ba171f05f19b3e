import {
  AnimationMixer,
  MathUtils,
  Matrix4,
  type Object3D,
  Quaternion,
  Scene,
  Vector3,
} from 'three';
import type { SceneChain } from '../../src/draw/scene.js';
import type { Letter } from '../../src/rig/letters.js';
import { modelOf } from '../support/facts-of.js';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';

/** An asset in three.js alone, read from its own bytes, to be posed as the page poses it. */
export interface Reference {
  /** Nodes by their index in the file. */
  readonly nodes: LoadedScene['nodes'];
  /**
   * Turns each joint of a chain about one axis of its own frame, or about the carried one; from where it was
   * bound, and also one held to a matrix.
   */
  curl(chain: SceneChain, letter: Letter, degrees: number, frames?: 'own' | 'carried'): void;
  play(clip: number, seconds: number): void;
  /** All vertices of a part of a rig, in the report's order; world space, x, y, z each. */
  positions(part: number): number[];
  /** Where the joints stand, in the report's order. */
  joints(): number[][];
}

const AXES = { X: [1, 0, 0], Y: [0, 1, 0], Z: [0, 0, 1] } as const;

export async function reference(bytes: Uint8Array, rig = 0): Promise<Reference> {
  const [model, loaded] = [await modelOf(bytes), await loadInThree(bytes)];
  const found = model.rigs[rig];
  if (found === undefined) throw new Error(`there is no rig ${rig}`);
  const jointNode = (joint: number): Object3D => {
    const node = loaded.nodes.get(found.joints.node[joint] ?? -1);
    if (node === undefined) throw new Error(`three.js has no node of joint ${joint}`);
    return node;
  };
  const tops = [...loaded.nodes.values()].map((node) => {
    let top: Object3D = node;
    while (top.parent !== null) top = top.parent;
    return top;
  });
  const settle = (): void => {
    for (const top of new Set(tops)) top.updateMatrixWorld(true);
  };
  return {
    nodes: loaded.nodes,
    curl(chain, letter, degrees, frames = 'own') {
      chain.joints.forEach((joint, place) => {
        const carried = chain.curl.carried[place]?.['XYZ'.indexOf(letter)];
        const axis = new Vector3(...(frames === 'carried' && carried ? carried : AXES[letter]));
        const turn = new Quaternion().setFromAxisAngle(axis, MathUtils.degToRad(degrees));
        const node = jointNode(joint);
        const bound = chain.bound?.[place - 1];
        if (bound !== undefined) {
          node.matrixAutoUpdate = false;
          node.matrix.fromArray([...bound]);
        }
        if (node.matrixAutoUpdate) node.quaternion.multiply(turn);
        else node.matrix.multiply(new Matrix4().makeRotationFromQuaternion(turn));
      });
    },
    play(clip, seconds) {
      const action = loaded.clips[clip];
      if (action === undefined) throw new Error(`there is no clip ${clip}`);
      const mixer = new AnimationMixer(tops[0] ?? new Scene());
      mixer.clipAction(action).play();
      mixer.setTime(seconds);
    },
    positions(part) {
      settle();
      const { mesh, primitive } = found.parts[part] ?? {};
      const shown = loaded.meshes.find((one) => one.mesh === mesh && one.primitive === primitive);
      if (shown === undefined) throw new Error(`three.js has no part ${part}`);
      const stored = shown.object.geometry.getAttribute('position');
      return Array.from({ length: stored.count }, (_, vertex) => {
        const point = new Vector3().fromBufferAttribute(stored, vertex);
        shown.object.applyBoneTransform(vertex, point);
        return shown.object.localToWorld(point).toArray();
      }).flat();
    },
    joints() {
      settle();
      return [...found.joints.node].map((_, joint) =>
        new Vector3().setFromMatrixPosition(jointNode(joint).matrixWorld).toArray(),
      );
    },
  };
}

/** Largest distance of points that stand in two lists, x, y, z each; not a number when one list is short. */
export function farthestApart(a: readonly number[], b: readonly number[]): number {
  let worst = a.length === b.length ? 0 : Number.NaN;
  for (let i = 0; i < a.length; i += 3) {
    const [x, y, z] = [0, 1, 2].map((axis) => (a[i + axis] ?? 0) - (b[i + axis] ?? Number.NaN));
    worst = Math.max(worst, Math.hypot(x ?? 0, y ?? 0, z ?? 0));
  }
  return worst;
}
