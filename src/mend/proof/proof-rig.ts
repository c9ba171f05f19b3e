import { sampleTimes } from '../../measure/pose/clip-sampling.js';
import { partsInFileOrder } from '../../rig/file-order.js';
import { groupBy } from '../../rig/group-by.js';
import type { Rig, SkinnedPart } from '../../rig/types.js';
import type { Looks } from './looks.js';
import { isReshaped, type PartPair } from './proof-movers.js';
import { PartComparison } from './proof-part.js';
import { SkinComparison, SkinPose } from './proof-pose.js';
import type { ProofRecord } from './proof-record.js';
import { type Pair, type Proof, UNSEEN, worse } from './proof-seen.js';
import type { Track } from './proof-weights.js';

/**
 * Compares one rig before and after a mend. Throws Error where the two do not hold the same meshes.
 *
 * @param size Of the rig before, in world units: what findings go by, so that the figures can be compared.
 * @param tell Is told after each pose what share of them was compared.
 * @param record Is given what each pose of a clip shows.
 */
export function proveRig(
  rigs: Pair<Rig>,
  looks: Pair<Looks> | null,
  size: number,
  tell: (share: number) => void,
  record: ProofRecord | null = null,
): Proof {
  const [before, after] = rigs;
  const poses = [new SkinPose(before), new SkinPose(after)] as const;
  const moving = clipPairs(rigs, looks);
  const pairs = partPairs(rigs, looks);
  const skinsOf = ({ before, after, isNew }: ComparedPair): string =>
    `${before.skin}/${after.skin}/${isNew}`;
  const skins = new Map<string, SkinComparison>();
  for (const [key, moved] of groupBy(pairs, skinsOf)) {
    const isNew = moved[0]?.isNew === true;
    skins.set(key, new SkinComparison(rigs, moved, poses, isNew));
  }
  const parts = pairs.flatMap((pair) => {
    const skin = skins.get(skinsOf(pair));
    if (skin === undefined) return [];
    const tracks = moving.map(({ index, times }): [number, Track] => {
      const channelOf = (side: 0 | 1, { node }: SkinnedPart) =>
        looks?.[side].tracks.get(index)?.get(node) ?? null;
      return [index, { times, channels: [channelOf(0, pair.before), channelOf(1, pair.after)] }];
    });
    return new PartComparison({ ...pair, tracks: new Map(tracks), skin, rig: before.name, size });
  });
  const updateSkins = (): void => {
    for (const skin of skins.values()) skin.update();
  };
  let [stored, clips, count] = [UNSEEN, UNSEEN, 1];
  const total = moving.reduce((sum, { times }) => sum + times.length, count);
  for (const part of parts) stored = worse(stored, part.compareStored());
  for (const { index, name, clips: playing, times } of moving) {
    for (const side of [0, 1] as const) poses[side].play(playing[side] ?? null);
    for (const time of times) {
      count++;
      for (const pose of poses) pose.seek(time);
      updateSkins();
      for (const part of parts) {
        const seen = part.compareInClip(index, name, time, clips);
        record?.add(index, name, time, seen);
        clips = worse(clips, seen);
      }
      tell(count / total);
    }
  }
  const sum = (what: 'vertices' | 'directions' | 'targets'): number =>
    parts.reduce((total, part) => total + part[what], 0);
  return {
    ...worse(stored, clips),
    vertices: sum('vertices'),
    poses: count,
    directions: sum('directions'),
    targets: sum('targets'),
    stored,
    clips,
  };
}

interface ComparedPair extends PartPair {
  readonly isNew: boolean;
}

/** The parts of both, in the order of the file. */
function partPairs(rigs: Pair<Rig>, looks: Pair<Looks> | null): ComparedPair[] {
  const [parts, partsAfter = []] = rigs.map((rig, side) =>
    partsInFileOrder(rig).map((at) => ({
      part: rig.parts[at],
      look: looks?.[side]?.parts[rig.index]?.[at],
    })),
  );
  if (parts?.length !== partsAfter.length) throw new Error('meshes are gone');
  return parts.map(({ part, look }, at) => {
    const { part: after, look: lookAfter } = partsAfter[at] ?? {};
    if (part === undefined || after?.vertexCount !== part.vertexCount)
      throw new Error(`the vertices of "${part?.label}" are not those that were there`);
    const isSeen = look !== undefined && lookAfter !== undefined;
    const pair: PartPair = { before: part, after, looks: isSeen ? [look, lookAfter] : null };
    return { ...pair, isNew: isReshaped(pair) };
  });
}

/** All clips that move one of the rigs, or weigh its morph targets; null where they move nothing of one. */
function clipPairs(rigs: Pair<Rig>, looks: Pair<Looks> | null) {
  const weighing = rigs.flatMap(({ parts }, side) => {
    const nodes = new Set(parts.map(({ node }) => node));
    const { tracks, clips } = looks?.[side] ?? { tracks: [], clips: [] };
    return [...tracks].flatMap(([index, byNode]) => {
      const channels = [...byNode.values()].filter(({ node }) => nodes.has(node));
      return channels.length === 0 ? [] : [{ index, name: clips[index] ?? '', channels }];
    });
  });
  const moving = rigs.flatMap(({ clips }) => clips);
  const found = groupBy([...moving, ...weighing], ({ index }) => index);
  return [...found]
    .sort(([a], [b]) => a - b)
    .map(([index, same]) => ({
      name: same[0]?.name ?? '',
      index,
      clips: rigs.map(({ clips }) => clips.find((clip) => clip.index === index) ?? null),
      times: sampleTimes(same.flatMap(({ channels }) => channels)),
    }));
}
