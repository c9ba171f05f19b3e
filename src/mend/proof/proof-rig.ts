import type { WantedOfRig } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { sampleTimes } from '../../measure/pose/clip-sampling.js';
import { partsInFileOrder } from '../../rig/file-order.js';
import type { Clip, ClipChannel, Rig, SkinnedPart } from '../../rig/types.js';
import type { Looks } from './looks.js';
import { PartComparison } from './proof-part.js';
import { SkinPose } from './proof-pose.js';
import { type Proof, UNSEEN, worse } from './proof-seen.js';
import { SkinComparison } from './proof-skin.js';
import type { Track } from './proof-weights.js';

type Pair<T> = readonly [before: T, after: T];

/** One clip as it moves a rig before and after; null where it moves nothing of it. */
interface ClipPair {
  readonly name: string;
  readonly index: number;
  readonly clips: Pair<Clip | null>;
  readonly times: readonly number[];
}

/** One rig before and after a mend. */
export class RigComparison {
  private readonly poses: Pair<SkinPose>;
  private readonly skins = new Map<string, SkinComparison>();
  private readonly parts: readonly PartComparison[];
  private readonly clips: readonly ClipPair[];
  /** The size that findings are told in, of the rig as it was: the figures of both can be compared. World units. */
  readonly extent: number;

  /** Throws Error where the two do not hold the same meshes. */
  constructor(rigs: Pair<Rig>, looks: Pair<Looks> | null, wanted: WantedOfRig) {
    const [before, after] = rigs;
    this.extent = size({ rig: before, wanted });
    if (before.parts.length !== after.parts.length) throw new Error('meshes are gone');
    this.poses = [new SkinPose(before, before.joints.node), new SkinPose(after, after.joints.node)];
    this.clips = clipPairs(rigs, looks);
    const places = rigs.map(partsInFileOrder);
    const placeOf = (side: 0 | 1, at: number): number => places[side]?.[at] ?? -1;
    const pairs = before.parts.map((_, at): Pair<SkinnedPart> => {
      const [part, other] = [before.parts[placeOf(0, at)], after.parts[placeOf(1, at)]];
      if (part === undefined || other === undefined || other.vertexCount !== part.vertexCount)
        throw new Error(`the vertices of "${part?.label}" are not those that were there`);
      return [part, other];
    });
    const keyOf = ([a, b]: Pair<SkinnedPart>): string => `${a.skin}/${b.skin}`;
    const keys = pairs.map(keyOf);
    for (const key of new Set(keys)) {
      const own = pairs.filter((_, at) => keys[at] === key);
      this.skins.set(key, new SkinComparison(rigs, own, this.poses));
    }
    this.parts = pairs.flatMap(([part, other], at) => {
      const skin = this.skins.get(keys[at] ?? '');
      const own = looks?.[0].parts[before.index]?.[placeOf(0, at)];
      const now = looks?.[1].parts[after.index]?.[placeOf(1, at)];
      const trackOf = (clip: ClipPair): Track => ({
        times: clip.times,
        before: looks?.[0].tracks.get(clip.index)?.get(part.node) ?? null,
        after: looks?.[1].tracks.get(clip.index)?.get(other.node) ?? null,
      });
      if (skin === undefined) return [];
      return new PartComparison({
        before: part,
        after: other,
        looks: own === undefined || now === undefined ? null : [own, now],
        tracks: new Map(this.clips.map((clip) => [clip.index, trackOf(clip)])),
        skin,
        rig: before.name,
      });
    });
  }

  prove(): Proof {
    this.update();
    const { extent } = this;
    let [stored, clips, poses] = [UNSEEN, UNSEEN, 1];
    for (const part of this.parts)
      stored = worse(stored, part.compareStored({ size: extent, known: UNSEEN }));
    for (const { index, name, clips: playing, times } of this.clips) {
      this.poses.forEach((pose, side) => {
        pose.play(playing[side] ?? null);
      });
      for (const time of times) {
        poses++;
        for (const pose of this.poses) pose.seek(time);
        this.update();
        for (const part of this.parts)
          clips = worse(
            clips,
            part.compareInClip(index, name, time, { size: extent, known: clips }),
          );
      }
    }
    const count = (of: (part: PartComparison) => number): number =>
      this.parts.reduce((sum, part) => sum + of(part), 0);
    return {
      ...worse(stored, clips),
      vertices: count(({ base }) => base.part.vertexCount),
      poses,
      directions: count((part) => part.directions),
      targets: count((part) => part.targets),
      stored,
      clips,
    };
  }

  private update(): void {
    for (const skin of this.skins.values()) skin.update();
  }
}

/** All clips that move one of the rigs, or weigh its morph targets. */
function clipPairs(rigs: Pair<Rig>, looks: Pair<Looks> | null): ClipPair[] {
  const [before, after] = rigs;
  const found = new Map<number, { name: string; channels: ClipChannel[] }>();
  const add = (index: number, name: string, channels: readonly ClipChannel[]): void => {
    const known = found.get(index);
    if (known === undefined) found.set(index, { name, channels: [...channels] });
    else known.channels.push(...channels);
  };
  for (const { clips } of rigs)
    for (const { index, name, channels } of clips) add(index, name, channels);
  rigs.forEach((rig, side) => {
    const nodes = new Set(rig.parts.map(({ node }) => node));
    for (const [index, tracks] of looks?.[side]?.tracks ?? [])
      for (const [node, track] of tracks)
        if (nodes.has(node)) add(index, looks?.[side]?.clips[index] ?? '', [track]);
  });
  return [...found]
    .sort(([a], [b]) => a - b)
    .map(([index, { name, channels }]) => ({
      name,
      index,
      clips: [clipOf(before, index), clipOf(after, index)],
      times: sampleTimes(channels),
    }));
}

function clipOf({ clips }: Rig, index: number): Clip | null {
  return clips.find((clip) => clip.index === index) ?? null;
}
