import type { RigReport } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { PageRig } from '../page-data.js';
import type { Glass } from './glass.js';
import { makeApproved } from './live-approved.js';
import { makeBones } from './live-bones.js';
import { makeChains } from './live-chains.js';
import { makeClip } from './live-clip.js';
import { makeMesh, makeSkeleton } from './live-mesh.js';

/** A rig that can be posed and drawn. */
export type LiveRig = ReturnType<typeof makeRig>;

/** What is said of the joints of a rig. */
interface JointsTold {
  readonly joints: readonly Pick<RigReport['joints'][number], 'name' | 'movesSkin'>[];
}

export function makeRig(data: PageRig, report: JointsTold | undefined, glass: Glass) {
  const skeleton = makeBones(data);
  const { bones, still } = skeleton;
  const { approved } = data;
  const skeletons = data.skins.map((skin) => makeSkeleton(skin, bones, still));
  const noSkin = makeSkeleton(
    { slots: [], inverseBind: { type: 'f32', base64: '' } },
    bones,
    still,
  );
  return {
    data,
    name: visible(data.name),
    ...skeleton,
    chains: makeChains(data),
    jointNames: data.jointNodes.map((node, joint) =>
      visible(report?.joints[joint]?.name ?? data.nodes[node]?.name ?? ''),
    ),
    movesSkin: data.jointNodes.map((_, joint) => report?.joints[joint]?.movesSkin ?? true),
    /** Layers of each mesh, the same geometry and skeleton in all of them. */
    meshes: data.meshes.map((mesh) => makeMesh(mesh, skeletons[mesh.skin] ?? noSkin, glass)),
    /** Those that were made for the approved rig first, then its own. */
    clips: [
      ...(approved?.clips ?? []).map((clip) =>
        makeClip(clip, [approved?.nodes.length ?? 0, Infinity]),
      ),
      ...data.clips.map((clip) => makeClip(clip)),
    ],
    /** The rig that it was compared with; null where that is nothing. */
    approved: approved === undefined ? null : makeApproved(approved, data.clips),
  };
}
