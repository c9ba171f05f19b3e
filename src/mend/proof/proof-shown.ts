import { ClipPose, sampleTimes } from '../../measure/pose/clip-sampling.js';
import { type Mat4, mat4At, transformPoint } from '../../rig/mat4.js';
import type { Clip, ClipChannel, NodeTable } from '../../rig/types.js';
import { distance, type Vec3 } from '../../rig/vec3.js';
import type { ProofRecord } from './proof-record.js';
import { type Pair, type Proof, type ProofPlace, type Seen, UNSEEN, worse } from './proof-seen.js';
import { sameNumbers } from './proof-shape.js';
import type { Shown, ShownScene } from './shown.js';

/**
 * Compares the places of all that is seen besides skins in two files, as stored and at all sampled times of
 * all clips. What hangs on nothing that changed is left out.
 *
 * @param sizeOf What a distance at a node is measured against, in world units.
 * @param record Is given what each pose of a clip shows.
 */
export function compareShown(
  nodes: Pair<NodeTable>,
  scenes: Pair<ShownScene>,
  sizeOf: (node: number) => number,
  record: ProofRecord | null = null,
): Pick<Proof, 'stored' | 'clips'> {
  const touched = touchedNodes(nodes, scenes);
  const wayUp = ({ node }: Shown): number[] => {
    const found: number[] = [];
    for (const { parent } of nodes)
      for (let at = node; at !== -1; at = parent[at] ?? -1) found.push(at);
    return found;
  };
  const concerned = scenes[0].shown.filter((item) => wayUp(item).some((node) => touched.has(node)));
  if (concerned.length === 0) return { stored: UNSEEN, clips: UNSEEN };
  const compare = (
    worldOf: (side: 0 | 1, node: number) => Mat4,
    pose: Pick<ProofPlace, 'clip' | 'time'>,
  ): Seen => {
    const seen = concerned.map(({ node, name, points }) => {
      const apart = farthest(points, worldOf(0, node), worldOf(1, node));
      if (apart === 0) return UNSEEN;
      const where = { rig: '', part: name, vertex: null, target: null, ...pose };
      return { ...UNSEEN, share: apart / sizeOf(node), where };
    });
    return seen.reduce(worse, UNSEEN);
  };
  const stored = compare((side, node) => mat4At(nodes[side].world, node), { clip: null, time: 0 });
  const moving = new Set(concerned.flatMap(wayUp));
  let clips = UNSEEN;
  for (const clip of scenes[0].clips) {
    const other = scenes[1].clips.find(({ index }) => index === clip.index) ?? clip;
    const channels = [...clip.channels, ...other.channels].filter(({ node }) => moving.has(node));
    const poses: Pair<ClipPose> = [
      new ClipPose({ nodes: nodes[0] }, clip),
      new ClipPose({ nodes: nodes[1] }, other),
    ];
    for (const time of sampleTimes(channels)) {
      for (const pose of poses) pose.seek(time);
      const seen = compare((side, node) => poses[side].worldOf(node), { clip: clip.name, time });
      record?.add(clip.index, clip.name, time, seen);
      clips = worse(clips, seen);
    }
  }
  return { stored, clips };
}

function farthest(points: readonly Vec3[], before: Mat4, after: Mat4): number {
  let most = 0;
  for (const point of points) {
    const apart = distance(transformPoint(before, point), transformPoint(after, point));
    if (!(apart <= most)) most = Number.isNaN(apart) ? Infinity : apart;
  }
  return most;
}

/** Nodes that hang elsewhere, are stored otherwise, or are moved otherwise by a clip. */
function touchedNodes([a, b]: Pair<NodeTable>, scenes: Pair<ShownScene>): Set<number> {
  const found = new Set<number>();
  for (let node = 0; node < Math.max(a.count, b.count); node++) {
    const isStoredAlike = sameNumbers(mat4At(a.local, node), mat4At(b.local, node));
    if (a.parent[node] !== b.parent[node] || !isStoredAlike) found.add(node);
  }
  for (const clip of scenes[0].clips) {
    const other = scenes[1].clips.find(({ index }) => index === clip.index);
    const [before, after] = [byTarget(clip), byTarget(other)];
    for (const [target, channel] of new Map([...after, ...before])) {
      const [old, now] = [before.get(target), after.get(target)];
      const isKept =
        old?.interpolation === now?.interpolation &&
        sameNumbers(old?.times ?? null, now?.times ?? null) &&
        sameNumbers(old?.values ?? null, now?.values ?? null);
      if (!isKept) found.add(channel.node);
    }
  }
  return found;
}

function byTarget(clip: Clip | undefined): Map<string, ClipChannel> {
  const channels = clip?.channels ?? [];
  return new Map(channels.map((channel) => [`${channel.node} ${channel.path}`, channel]));
}
