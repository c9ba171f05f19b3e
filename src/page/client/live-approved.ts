import { Matrix4, Vector3 } from 'three';
import type { PageApproved, PageClip } from '../page-data.js';
import { type LiveBones, makeBones, placeOf, settle } from './live-bones.js';
import { type LiveClip, makeClip } from './live-clip.js';
import { type Pose, poseClip, poseRest } from './pose-bones.js';

/** The approved rig, which plays the same clips. */
export type LiveApproved = ReturnType<typeof makeApproved>;

/** How it is shown: root on root at every moment, or a step to the right of the rig as it moves itself. */
export type Shown = 'hidden' | 'top' | 'beside';

/** `ownClips` are those of the rig that is compared: a clip of the same name is played beside each. */
export function makeApproved(data: PageApproved, ownClips: readonly PageClip[]) {
  const clips = data.clips.map((clip) => makeClip(clip, [0, data.nodes.length]));
  const namesakes = ownClips.map(
    ({ name }): LiveClip | null =>
      clips[data.clips.findIndex((clip) => clip.name === name)] ?? null,
  );
  return {
    data,
    ...makeBones(data),
    /** In the order of the clips of the rig that is compared; null where it has none of the name. */
    clips: [...clips, ...namesakes],
    onto: new Matrix4().fromArray([...data.onto]),
    /** From where its root stands to where that of the rig does. World of the stage. */
    toRoot: new Vector3(),
  };
}

/** Poses it as the rig is posed; a curl is of the rig alone. `own` is settled already. */
export function poseApproved(
  approved: LiveApproved,
  own: Pick<LiveBones, 'joints'>,
  how: Pose,
  world: Matrix4,
): void {
  poseRest(approved);
  const clip = how.kind === 'clip' ? approved.clips[how.clip] : null;
  if (clip && how.kind === 'clip') poseClip(approved, clip, how.seconds);
  settle(approved, world.clone().multiply(approved.onto));
  const [theirs, ours] = approved.data.held;
  approved.toRoot.copy(placeOf(own, ours)).sub(placeOf(approved, theirs));
}

/** Where its joints are shown. World of the stage; `aside` is the step from the rig to beside it. */
export function shownPlaces(approved: LiveApproved, shown: Shown, aside: Vector3): Vector3[] {
  if (shown === 'hidden') return [];
  const by = shown === 'top' ? approved.toRoot : aside;
  return approved.joints.map((_, joint) => placeOf(approved, joint).add(by));
}
