import { Matrix4, Quaternion, Vector3 } from 'three';
import { type CurlView, OWN_AXES, type Turn, viewCurl } from '../../draw/curl-view.js';
import { LETTERS } from '../../rig/letters.js';
import { poseApproved } from './live-approved.js';
import { settle } from './live-bones.js';
import type { LiveRig } from './live-rig.js';
import { type Curl, type Pose, poseClip, poseRest } from './pose-bones.js';

/** Sets the local matrix of every bone. */
export function pose(rig: LiveRig, how: Pose): void {
  poseRest(rig);
  const clip = how.kind === 'clip' ? rig.clips[how.clip] : undefined;
  if (clip && how.kind === 'clip') poseClip(rig, clip, how.seconds);
  if (how.kind === 'curl') poseCurl(rig, how);
}

/** Turns each joint of a chain in its own local frame, from where it was bound. */
function poseCurl(rig: LiveRig, { chain, letter, degrees, frames }: Curl): void {
  const { joints = [], curl, bound } = rig.chains[chain] ?? {};
  const [index, angle] = [LETTERS.indexOf(letter), (degrees * Math.PI) / 180];
  joints.forEach((joint, place) => {
    const axes = frames === 'own' ? OWN_AXES : curl?.carried[place];
    const [x, y, z] = axes?.[index] ?? [0, 1, 0];
    const node = rig.data.jointNodes[joint] ?? -1;
    const [bone, rest] = [rig.bones[node], rig.rest[node]];
    if (bone === undefined || rest === undefined) return;
    const turn = new Quaternion().setFromAxisAngle(new Vector3(x, y, z), angle);
    const asBound = bound?.[place - 1];
    const { parts, local } = rest;
    if (asBound !== undefined || parts === null) {
      bone.matrix.copy(asBound === undefined ? local : new Matrix4().fromArray([...asBound]));
      bone.matrix.multiply(new Matrix4().makeRotationFromQuaternion(turn));
    } else {
      const rotation = new Quaternion().multiplyQuaternions(parts.rotation, turn);
      bone.matrix.compose(parts.translation, rotation, parts.scale);
    }
  });
}

/** How a rig is posed, and its curl, whether or not the rig is posed by it. */
interface RigState {
  pose: Pose;
  curl: Curl;
  /** What the curl comes to, with both kinds of frames, as the measure has it; null without one. */
  seen: CurlView | null;
}

/** Poses each rig. `world` takes the file's world to that of the stage. */
export function makePoser(rigs: readonly LiveRig[], world: Matrix4) {
  const states = rigs.map(
    ({ chains }): RigState => ({
      pose: { kind: 'rest' },
      curl: {
        chain: -1,
        letter: chains[0]?.curl.letters.up ?? 'Y',
        degrees: 0,
        frames: 'own',
      },
      seen: null,
    }),
  );
  const stateOf = (index: number): RigState => {
    const state = states[index];
    if (state === undefined) throw new Error(`there is no rig ${index}`);
    return state;
  };
  const apply = (index: number): void => {
    const [rig, state] = [rigs[index], stateOf(index)];
    if (rig === undefined) return;
    const chain = state.pose.kind === 'curl' ? rig.chains[state.pose.chain] : undefined;
    state.seen = chain === undefined ? null : viewCurl(chain, state.curl);
    pose(rig, state.pose);
    settle(rig, world);
    if (rig.approved !== null) poseApproved(rig.approved, rig, state.pose, world);
  };
  for (const index of rigs.keys()) apply(index);
  return {
    pose: (rig: number): Pose => stateOf(rig).pose,
    curl: (rig: number): Curl => stateOf(rig).curl,
    /** The curl that a rig is posed by, in the file's world; null where it is not. */
    curled: (rig: number): CurlView | null => stateOf(rig).seen,
    /** A clip takes the curl back. */
    setPose(rig: number, how: Pose): void {
      const state = stateOf(rig);
      state.pose = how;
      state.curl = how.kind === 'curl' ? how : { ...state.curl, degrees: 0 };
      apply(rig);
    },
    /** A curl without a chain takes the first one; one by 0 degrees is the rest pose. */
    setCurl(rig: number, change: Partial<Curl>): void {
      const state = stateOf(rig);
      const { chain, letter, degrees, frames } = { ...state.curl, ...change };
      const isCurled = degrees !== 0;
      state.curl = { letter, degrees, frames, chain: isCurled && chain < 0 ? 0 : chain };
      if (isCurled) state.pose = { kind: 'curl', ...state.curl };
      else if (state.pose.kind === 'curl') state.pose = { kind: 'rest' };
      apply(rig);
    },
    /** The turn by which a chain is judged, which shows best what its frames do. */
    judgedTurn(rig: number, chain: number): Turn | null {
      const found = rigs[rig]?.chains[chain];
      return found === undefined ? null : viewCurl(found);
    },
  };
}
