import { Bone, Matrix4, Quaternion, Vector3 } from 'three';
import type { RigReport } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { PageRig } from '../page-data.js';
import type { Glass } from './glass.js';
import { makeClip } from './live-clip.js';
import { makeMesh, makeSkeleton } from './live-mesh.js';

/** A rig that can be posed and drawn. */
export type LiveRig = ReturnType<typeof makeRig>;

/** Translation, rotation and scale of a matrix that is made of these alone. */
export type Parts = NonNullable<LiveRig['rest'][number]['parts']>;

export function makeRig(data: PageRig, report: RigReport | undefined, glass: Glass) {
  const bones = data.nodes.map(() => new Bone());
  /** Its matrix is that of the world that the file's numbers are in. */
  const still = new Bone();
  const skeletons = data.skins.map((skin) => makeSkeleton(skin, bones, still));
  const noSkin = makeSkeleton(
    { slots: [], inverseBind: { type: 'f32', base64: '' } },
    bones,
    still,
  );
  return {
    data,
    name: visible(data.name),
    /** One a node, parents before children; `settle` makes their world matrices. */
    bones,
    still,
    rest: data.nodes.map(({ local }) => restNode(local)),
    joints: data.jointNodes.map((node) => bones[node] ?? still),
    jointNames: data.jointNodes.map((node, joint) =>
      visible(report?.joints[joint]?.name ?? data.nodes[node]?.name ?? ''),
    ),
    movesSkin: data.jointNodes.map((_, joint) => report?.joints[joint]?.movesSkin ?? true),
    /** Layers of each mesh, the same geometry and skeleton in all of them. */
    meshes: data.meshes.map((mesh) => makeMesh(mesh, skeletons[mesh.skin] ?? noSkin, glass)),
    clips: data.clips.map(makeClip),
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
export function settle({ data, bones, still }: LiveRig, world: Matrix4): void {
  still.matrixWorld.copy(world);
  bones.forEach((bone, node) => {
    const parent = bones[data.nodes[node]?.parent ?? -1] ?? still;
    bone.matrixWorld.multiplyMatrices(parent.matrixWorld, bone.matrix);
  });
}

/** Where a joint is, in the world that the rig was settled in. */
export function placeOf(rig: LiveRig | undefined, joint: number): Vector3 {
  const bone = rig?.joints[joint];
  return bone === undefined ? new Vector3() : new Vector3().setFromMatrixPosition(bone.matrixWorld);
}
