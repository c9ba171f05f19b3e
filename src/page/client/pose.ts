import { Matrix4, Quaternion, Vector3 } from 'three';
import { poseApproved } from './live-approved.js';
import { placeOf, settle } from './live-bones.js';
import type { LiveRig } from './live-rig.js';
import { type Curl, type Pose, poseClip, poseRest } from './pose-bones.js';

/** A whole curl, all joints together. */
export const CURL_DEGREES = 90;

/** Sets the local matrix of every bone. */
export function pose(rig: LiveRig, how: Pose): void {
  poseRest(rig);
  const clip = how.kind === 'clip' ? rig.clips[how.clip] : undefined;
  if (clip && how.kind === 'clip') poseClip(rig, clip, how.seconds);
  if (how.kind === 'curl') poseCurl(rig, how);
}

/** Turns each joint of a chain after its first by an equal share, in its own local frame. */
function poseCurl(rig: LiveRig, { chain, about, share, frames }: Curl): void {
  const { joints = [], about: axes } = rig.data.chains[chain] ?? {};
  const angle = (share * CURL_DEGREES * Math.PI) / 180 / (joints.length - 1);
  joints.forEach((joint, place) => {
    const [x = 0, y = 0, z = 0] = axes?.[about][frames][place] ?? [];
    const node = rig.data.jointNodes[joint] ?? -1;
    const [bone, rest] = [rig.bones[node], rig.rest[node]];
    if (place === 0 || bone === undefined || rest === undefined) return;
    const turn = new Quaternion().setFromAxisAngle(new Vector3(x, y, z), angle);
    const { parts, local } = rest;
    if (parts === null) {
      bone.matrix.multiplyMatrices(local, new Matrix4().makeRotationFromQuaternion(turn));
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
  /**
   * Places of the curled chain's joints with the other frames, and the largest distance from there as a
   * share of the chain's length; null without a curl.
   */
  other: { readonly places: readonly Vector3[]; readonly gap: number } | null;
}

/** Poses each rig. `world` takes the file's world to that of the stage. */
export function makePoser(rigs: readonly LiveRig[], world: Matrix4) {
  const states = rigs.map(
    (): RigState => ({
      pose: { kind: 'rest' },
      curl: { chain: -1, about: 'up', share: 0, frames: 'own' },
      other: null,
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
    state.other = null;
    if (state.pose.kind === 'curl') {
      const frames = state.pose.frames === 'own' ? 'ideal' : 'own';
      const shown = curledPlaces(rig, state.pose, world);
      const places = curledPlaces(rig, { ...state.pose, frames }, world);
      state.other = { places, gap: gapBetween(shown, places) };
    }
    pose(rig, state.pose);
    settle(rig, world);
    if (rig.approved !== null) poseApproved(rig.approved, rig, state.pose, world);
  };
  for (const index of rigs.keys()) apply(index);
  return {
    pose: (rig: number): Pose => stateOf(rig).pose,
    curl: (rig: number): Curl => stateOf(rig).curl,
    compared: (rig: number) => stateOf(rig).other?.places ?? null,
    gap: (rig: number) => stateOf(rig).other?.gap ?? null,
    /** A clip takes the curl back. */
    setPose(rig: number, how: Pose): void {
      const state = stateOf(rig);
      state.pose = how;
      state.curl = how.kind === 'curl' ? how : { ...state.curl, share: 0 };
      apply(rig);
    },
    /** A curl without a chain takes the first one; a share of 0 is the rest pose. */
    setCurl(rig: number, change: Partial<Curl>): void {
      const state = stateOf(rig);
      const { about, frames, share, chain } = { ...state.curl, ...change };
      state.curl = { about, frames, share, chain: share > 0 && chain < 0 ? 0 : chain };
      if (share > 0) state.pose = { kind: 'curl', ...state.curl };
      else if (state.pose.kind === 'curl') state.pose = { kind: 'rest' };
      apply(rig);
    },
    /** The axis about which a whole curl of a chain strays more. */
    tellingAxis(index: number, chain: number): Curl['about'] {
      const rig = rigs[index];
      if (rig === undefined) return 'up';
      const gapAbout = (about: Curl['about']): number => {
        const places = (frames: Curl['frames']): Vector3[] =>
          curledPlaces(rig, { chain, about, share: 1, frames }, world);
        return gapBetween(places('own'), places('ideal'));
      };
      const axis = gapAbout('side') > gapAbout('up') ? 'side' : 'up';
      apply(index);
      return axis;
    },
  };
}

/** Poses a rig by a curl and gives the places of the chain's joints. */
function curledPlaces(rig: LiveRig, curl: Curl, world: Matrix4): Vector3[] {
  pose(rig, { kind: 'curl', ...curl });
  settle(rig, world);
  return (rig.data.chains[curl.chain]?.joints ?? []).map((joint) => placeOf(rig, joint));
}

function gapBetween(points: readonly Vector3[], others: readonly Vector3[]): number {
  let [gap, length] = [0, 0];
  points.forEach((point, place) => {
    gap = Math.max(gap, point.distanceTo(others[place] ?? point));
    length += point.distanceTo(points[place - 1] ?? point);
  });
  return length > 0 ? gap / length : 0;
}
