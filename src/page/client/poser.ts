import type { Matrix4, Vector3 } from 'three';
import { type LiveRig, placeOf, settle } from './live-rig.js';
import { type Curl, type Pose, pose } from './pose.js';

/** How each rig stands, and how it is curled when it is. */
export interface Poser {
  pose(rig: number): Pose;
  /** Poses a rig; a clip takes the curl back. */
  setPose(rig: number, how: Pose): void;
  /** What the curl is set to, whether or not the rig is posed by it; chain -1 for none. */
  curl(rig: number): Curl;
  /** Sets some of it. A curl without a chain takes the first one; a share of 0 is the rest pose. */
  setCurl(rig: number, change: Partial<Curl>): void;
  /** Where the joints of the curled chain would stand with the other frames; null without a curl. */
  compared(rig: number): readonly Vector3[] | null;
  /** Largest distance from there, as a share of the chain's length; null without a curl. */
  gap(rig: number): number | null;
  /** The axis about which a whole curl of a chain shows more of what is wrong with its frames. */
  tellingAxis(rig: number, chain: number): Curl['about'];
}

interface Stand {
  how: Pose;
  curl: Curl;
  compared: readonly Vector3[] | null;
  gap: number | null;
}

/** `world` takes the file's world to that of the stage. */
export function makePoser(rigs: readonly LiveRig[], world: Matrix4): Poser {
  const stands = rigs.map(
    (): Stand => ({
      how: { kind: 'rest' },
      curl: { chain: -1, about: 'up', share: 0, frames: 'own' },
      compared: null,
      gap: null,
    }),
  );
  const apply = (index: number): void => {
    const [rig, stand] = [rigs[index], stands[index]];
    if (rig === undefined || stand === undefined) return;
    [stand.compared, stand.gap] = [null, null];
    if (stand.how.kind === 'curl') {
      const { frames } = stand.how;
      const own = curledPlaces(rig, stand.how, world);
      const other = frames === 'own' ? 'ideal' : 'own';
      stand.compared = curledPlaces(rig, { ...stand.how, frames: other }, world);
      stand.gap = gapBetween(own, stand.compared);
    }
    pose(rig, stand.how);
    settle(rig, world);
  };
  rigs.forEach((_, index) => {
    apply(index);
  });
  const stand = (index: number): Stand => {
    const found = stands[index];
    if (found === undefined) throw new Error(`there is no rig ${index}`);
    return found;
  };
  return {
    pose: (rig) => stand(rig).how,
    setPose(rig, how) {
      const of = stand(rig);
      of.how = how;
      of.curl = how.kind === 'curl' ? how : { ...of.curl, share: 0 };
      apply(rig);
    },
    curl: (rig) => stand(rig).curl,
    setCurl(rig, change) {
      const of = stand(rig);
      const { about, frames, share, chain } = { ...of.curl, ...change };
      of.curl = { about, frames, share, chain: share > 0 && chain < 0 ? 0 : chain };
      if (share > 0) of.how = { kind: 'curl', ...of.curl };
      else if (of.how.kind === 'curl') of.how = { kind: 'rest' };
      apply(rig);
    },
    compared: (rig) => stand(rig).compared,
    gap: (rig) => stand(rig).gap,
    tellingAxis(index, chain) {
      const rig = rigs[index];
      if (rig === undefined) return 'up';
      const [up, side] = (['up', 'side'] as const).map((about) => {
        const [own, ideal] = (['own', 'ideal'] as const).map((frames) =>
          curledPlaces(rig, { chain, about, share: 1, frames }, world),
        );
        return gapBetween(own ?? [], ideal ?? []);
      });
      apply(index);
      return (side ?? 0) > (up ?? 0) ? 'side' : 'up';
    },
  };
}

/** Poses a rig by a curl and tells where the chain's joints come to stand. */
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
