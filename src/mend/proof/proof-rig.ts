import type { WantedOfRig } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { sampleTimes } from '../../measure/pose/clip-sampling.js';
import { partsInFileOrder } from '../../rig/file-order.js';
import { groupBy } from '../../rig/group-by.js';
import type { Clip, Rig, SkinnedPart } from '../../rig/types.js';
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
  /** The size that findings go by, of the rig before, so that the figures of both can be compared. World units. */
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
    const skinsOf = ([a, b]: Pair<SkinnedPart>): string => `${a.skin}/${b.skin}`;
    for (const [key, moved] of groupBy(pairs, skinsOf))
      this.skins.set(key, new SkinComparison(rigs, moved, this.poses));
    this.parts = pairs.flatMap(([part, other], at) => {
      const skin = this.skins.get(skinsOf([part, other]));
      if (skin === undefined) return [];
      const lookBefore = looks?.[0].parts[before.index]?.[placeOf(0, at)];
      const lookAfter = looks?.[1].parts[after.index]?.[placeOf(1, at)];
      const trackOf = ({ index, times }: ClipPair): Track => ({
        times,
        before: looks?.[0].tracks.get(index)?.get(part.node) ?? null,
        after: looks?.[1].tracks.get(index)?.get(other.node) ?? null,
      });
      return new PartComparison({
        before: part,
        after: other,
        looks: lookBefore === undefined || lookAfter === undefined ? null : [lookBefore, lookAfter],
        tracks: new Map(this.clips.map((clip) => [clip.index, trackOf(clip)])),
        skin,
        rig: before.name,
        size: this.extent,
      });
    });
  }

  prove(): Proof {
    this.update();
    let [stored, clips, poses] = [UNSEEN, UNSEEN, 1];
    for (const part of this.parts) stored = worse(stored, part.compareStored());
    for (const { index, name, clips: playing, times } of this.clips) {
      this.poses.forEach((pose, side) => {
        pose.play(playing[side] ?? null);
      });
      for (const time of times) {
        poses++;
        for (const pose of this.poses) pose.seek(time);
        this.update();
        for (const part of this.parts)
          clips = worse(clips, part.compareInClip(index, name, time, clips));
      }
    }
    const count = (what: 'vertices' | 'directions' | 'targets'): number =>
      this.parts.reduce((sum, part) => sum + part[what], 0);
    return {
      ...worse(stored, clips),
      vertices: count('vertices'),
      poses,
      directions: count('directions'),
      targets: count('targets'),
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
  const weighing = rigs.flatMap(({ parts }, side) => {
    const nodes = new Set(parts.map(({ node }) => node));
    const { tracks, clips } = looks?.[side] ?? { tracks: [], clips: [] };
    return [...tracks].flatMap(([index, byNode]) => {
      const channels = [...byNode.values()].filter(({ node }) => nodes.has(node));
      return channels.length === 0 ? [] : [{ index, name: clips[index] ?? '', channels }];
    });
  });
  const found = groupBy([...before.clips, ...after.clips, ...weighing], ({ index }) => index);
  return [...found]
    .sort(([a], [b]) => a - b)
    .map(([index, clips]) => ({
      name: clips[0]?.name ?? '',
      index,
      clips: [clipOf(before, index), clipOf(after, index)],
      times: sampleTimes(clips.flatMap(({ channels }) => channels)),
    }));
}

function clipOf({ clips }: Rig, index: number): Clip | null {
  return clips.find((clip) => clip.index === index) ?? null;
}
