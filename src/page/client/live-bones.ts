import { Bone, Matrix4, Quaternion, Vector3 } from 'three';
import type { PageRig } from '../page-data.js';

/** What can be posed. */
export type LiveBones = ReturnType<typeof makeBones>;

/** Translation, rotation and scale of a matrix that is made of these alone. */
export type Parts = NonNullable<LiveBones['rest'][number]['parts']>;

/** The bones of some nodes, and how they are stored. */
export function makeBones({ nodes, jointNodes }: Pick<PageRig, 'nodes' | 'jointNodes'>) {
  const bones = nodes.map(() => new Bone());
  /** Its matrix is that of the world that the file's numbers are in. */
  const still = new Bone();
  return {
    /** The node above each, -1 at the top. */
    parents: nodes.map(({ parent }) => parent),
    /** One a node, parents before children; `settle` makes their world matrices. */
    bones,
    still,
    rest: nodes.map(({ local }) => restNode(local)),
    joints: jointNodes.map((node) => bones[node] ?? still),
  };
}

/** How far a matrix made of the parts of another may be off it. Share of its largest entry. */
const SAME = 1e-5;

/** `parts` is null where no translation, rotation and scale give the matrix back, as with skew. */
function restNode(stored: readonly number[]) {
  const local = new Matrix4().fromArray(stored);
  const parts = { translation: new Vector3(), rotation: new Quaternion(), scale: new Vector3() };
  local.decompose(parts.translation, parts.rotation, parts.scale);
  const again = new Matrix4().compose(parts.translation, parts.rotation, parts.scale).elements;
  const entries = local.elements.slice(0, 12);
  const largest = Math.max(...entries.map(Math.abs));
  const isSame = entries.every((value, i) => Math.abs(value - (again[i] ?? 0)) <= SAME * largest);
  return { local, parts: isSame ? parts : null };
}

/** Makes the world matrices of all bones from their local ones; `world` is that of the file's own world. */
export function settle({ parents, bones, still }: LiveBones, world: Matrix4): void {
  still.matrixWorld.copy(world);
  bones.forEach((bone, node) => {
    const parent = bones[parents[node] ?? -1] ?? still;
    bone.matrixWorld.multiplyMatrices(parent.matrixWorld, bone.matrix);
  });
}

/** Where a joint is, in the world that the rig was settled in. */
export function placeOf(rig: Pick<LiveBones, 'joints'> | undefined, joint: number): Vector3 {
  const bone = rig?.joints[joint];
  return bone === undefined ? new Vector3() : new Vector3().setFromMatrixPosition(bone.matrixWorld);
}
