import { ClipPose, sampleTimes } from '../../measure/pose/clip-sampling.js';
import { type Mat4, mat4At, transformPoint } from '../../rig/mat4.js';
import type { Clip, ClipChannel, NodeTable } from '../../rig/types.js';
import { distance } from '../../rig/vec3.js';
import { type ProofPlace, type Seen, UNSEEN, worse } from './proof-seen.js';
import type { Shown, ShownScene } from './shown.js';

type Pair<T> = readonly [before: T, after: T];

/** What of the proof is about all that is no skin. */
export interface ShownProof {
  readonly stored: Seen;
  readonly clips: Seen;
}

/**
 * Compares where everything that is seen besides skins stands in two files, as stored and at all sampled
 * times of all clips. What hangs on nothing that changed is not asked.
 *
 * @param sizeOf What a distance at a node is held against, in world units.
 */
export function compareShown(
  nodes: Pair<NodeTable>,
  scenes: Pair<ShownScene>,
  sizeOf: (node: number) => number,
): ShownProof {
  const touched = touchedNodes(nodes, scenes);
  const ways = nodes.map(
    (table) =>
      (node: number): number[] =>
        wayUp(table, node),
  );
  const concerned = scenes[0].shown.filter(({ node }) =>
    ways.some((way) => way(node).some((at) => touched.has(at))),
  );
  if (concerned.length === 0) return { stored: UNSEEN, clips: UNSEEN };
  const compare = (
    worlds: Pair<(node: number) => Mat4>,
    pose: Pick<ProofPlace, 'clip' | 'time'>,
  ): Seen => {
    return concerned
      .map((item) => seenOf(item, worlds[0](item.node), worlds[1](item.node), sizeOf, pose))
      .reduce(worse, UNSEEN);
  };
  const atRest = (table: NodeTable) => (node: number) => mat4At(table.world, node);
  const stored = compare([atRest(nodes[0]), atRest(nodes[1])], { clip: null, time: 0 });
  const moving = new Set(concerned.flatMap(({ node }) => ways.flatMap((way) => way(node))));
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
      const worlds = poses.map((pose) => (node: number) => pose.worldOf(node));
      const [a, b] = worlds;
      if (a !== undefined && b !== undefined)
        clips = worse(clips, compare([a, b], { clip: clip.name, time }));
    }
  }
  return { stored, clips };
}

function seenOf(
  { node, name, points }: Shown,
  before: Mat4,
  after: Mat4,
  sizeOf: (node: number) => number,
  pose: Pick<ProofPlace, 'clip' | 'time'>,
): Seen {
  let most = 0;
  for (const point of points) {
    const apart = distance(transformPoint(before, point), transformPoint(after, point));
    if (!(apart <= most)) most = Number.isNaN(apart) ? Infinity : apart;
  }
  if (most === 0) return UNSEEN;
  const where = { rig: '', part: name, vertex: null, target: null, ...pose };
  return { ...UNSEEN, share: most / sizeOf(node), where };
}

function wayUp({ parent }: NodeTable, node: number): number[] {
  const way: number[] = [];
  for (let at = node; at !== -1; at = parent[at] ?? -1) way.push(at);
  return way;
}

/** Nodes that hang elsewhere, are stored otherwise, or are moved otherwise by a clip. */
function touchedNodes([a, b]: Pair<NodeTable>, scenes: Pair<ShownScene>): Set<number> {
  const found = new Set<number>();
  for (let node = 0; node < Math.max(a.count, b.count); node++)
    if (a.parent[node] !== b.parent[node] || !isSame(mat4At(a.local, node), mat4At(b.local, node)))
      found.add(node);
  for (const clip of scenes[0].clips) {
    const other = scenes[1].clips.find(({ index }) => index === clip.index);
    const [old, now] = [byTarget(clip), byTarget(other)];
    for (const key of new Set([...old.keys(), ...now.keys()])) {
      const [own, made] = [old.get(key), now.get(key)];
      const isKept =
        own !== undefined &&
        made !== undefined &&
        own.interpolation === made.interpolation &&
        isSame(own.times, made.times) &&
        isSame(own.values, made.values);
      if (!isKept) found.add(own?.node ?? made?.node ?? -1);
    }
  }
  return found;
}

function byTarget(clip: Clip | undefined): Map<string, ClipChannel> {
  return new Map(
    (clip?.channels ?? []).map((channel) => [`${channel.node} ${channel.path}`, channel]),
  );
}

function isSame(a: ArrayLike<number>, b: ArrayLike<number>): boolean {
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}
