import { Bone, Matrix4, Quaternion, type Skeleton, type SkinnedMesh, Vector3 } from 'three';
import type { RigReport } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { PageRig } from '../page-data.js';
import type { Glass } from './glass.js';
import { type LiveClip, makeClip } from './live-clip.js';
import { makeMesh, makeSkeleton } from './live-mesh.js';

/** A rig that can be posed and drawn. */
export interface LiveRig {
  readonly data: PageRig;
  readonly name: string;
  /** One a node, parents before children; their world matrices are kept by `settle`. */
  readonly bones: readonly Bone[];
  readonly rest: readonly RestNode[];
  /** Bone of each joint. */
  readonly joints: readonly Bone[];
  readonly jointNames: readonly string[];
  readonly movesSkin: readonly boolean[];
  /** Layers of each mesh, the same geometry and skeleton in all of them. */
  readonly meshes: readonly (readonly SkinnedMesh[])[];
  readonly clips: readonly LiveClip[];
  /** Stands for the world that the file's numbers are in. */
  readonly still: Bone;
}

export interface RestNode {
  readonly local: Matrix4;
  /** Null where no translation, rotation and scale give the matrix back, as with skew. */
  readonly parts: Parts | null;
}

export interface Parts {
  readonly translation: Vector3;
  readonly rotation: Quaternion;
  readonly scale: Vector3;
}

export function makeRig(data: PageRig, report: RigReport | undefined, glass: Glass): LiveRig {
  const bones = data.nodes.map(() => new Bone());
  const still = new Bone();
  const bone = (node: number): Bone => bones[node] ?? still;
  const skeletons = data.skins.map((skin) => makeSkeleton(skin, bones, still));
  const skeletonOf = (skin: number): Skeleton =>
    skeletons[skin] ?? makeSkeleton({ slots: [], inverseBind: NO_BINDS }, bones, still);
  return {
    data,
    name: visible(data.name),
    bones,
    still,
    rest: data.nodes.map(({ local }) => restNode(local)),
    joints: data.jointNodes.map(bone),
    jointNames: data.jointNodes.map((node, joint) =>
      visible(report?.joints[joint]?.name ?? data.nodes[node]?.name ?? ''),
    ),
    movesSkin: data.jointNodes.map((_, joint) => report?.joints[joint]?.movesSkin ?? true),
    meshes: data.meshes.map((mesh) => makeMesh(mesh, skeletonOf(mesh.skin), glass)),
    clips: data.clips.map(makeClip),
  };
}

const NO_BINDS = { type: 'f32', base64: '' } as const;

/** How far a matrix made of the parts of another may be off it. Share of its largest entry. */
const SAME = 1e-5;

function restNode(stored: readonly number[]): RestNode {
  const local = new Matrix4().fromArray(stored);
  const parts = { translation: new Vector3(), rotation: new Quaternion(), scale: new Vector3() };
  local.decompose(parts.translation, parts.rotation, parts.scale);
  const again = new Matrix4().compose(parts.translation, parts.rotation, parts.scale);
  const [ours, theirs] = [local.elements.slice(0, 12), again.elements];
  const largest = Math.max(...ours.map(Math.abs));
  const isSame = ours.every((value, i) => Math.abs(value - (theirs[i] ?? 0)) <= SAME * largest);
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

/** Where a joint stands, in the world that the rig was settled in. */
export function placeOf(rig: LiveRig, joint: number): Vector3 {
  const bone = rig.joints[joint];
  return bone === undefined ? new Vector3() : new Vector3().setFromMatrixPosition(bone.matrixWorld);
}
