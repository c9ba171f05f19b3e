import { BEND_DEGREES, bendAxes } from '../../measure/bend/bend-lab.js';
import type { Facts } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { bindPose } from '../../measure/pose/bind-pose.js';
import { ClipPose, sampleTimes } from '../../measure/pose/clip-sampling.js';
import { type Mat4, mat4At, multiply, transformPoint } from '../../rig/mat4.js';
import { branchOf } from '../../rig/tree.js';
import type { RigSkin } from '../../rig/types.js';
import {
  add,
  distance,
  radians,
  scale,
  subtract,
  turn,
  type Vec3,
  vec3At,
} from '../../rig/vec3.js';
import type { EdgeStrengths } from './edge-strengths.js';
import type { RigWeights, StoredVertex } from './rig-weights.js';
import type { Influences } from './vertex-weights.js';

/** How far a vertex leaves a neighbour at most: by how much the edge between them grows. */
export interface Growth {
  /** Share of the rig's size; Infinity where a vertex has no place. */
  readonly share: number;
  /** The pose it is in, in words: `in the clip ...`, `with ... turned`. */
  readonly pose: string;
}

/** Of more edges every second, third or further one is looked at: the figure is for people. */
const MOST_EDGES = 5000;
/** No growth is looked for in more poses of edges: long clips are then looked at in even steps. */
const MOST_LOOKS = 5e5;

/** One end of an edge. */
interface End {
  readonly stored: StoredVertex;
  /** In the bind pose, world space. */
  readonly at: Vec3;
  readonly influences: Influences;
}

/**
 * The pose in which the edges at some places grow most: among those of the bend laboratory (each joint that
 * has to do with it turned by `BEND_DEGREES` both ways about two axes) and of all clips. Null without edges.
 *
 * @param endOf The vertex that stands for each place, with the weights to try; null for none.
 */
export function largestGrowth(
  { facts, net }: RigWeights,
  edges: EdgeStrengths,
  endOf: (place: number) => Omit<End, 'at'> | null,
): Growth | null {
  const pairs: { readonly ends: readonly [End, End]; readonly length: number }[] = [];
  const ends = new Map<number, End | null>();
  const known = (place: number): End | null => {
    const found = ends.get(place);
    if (found !== undefined) return found;
    const end = endOf(place);
    const full = end === null ? null : { ...end, at: vec3At(net.positions, place) };
    ends.set(place, full);
    return full;
  };
  const all = [...edges].flatMap(([from, others]) =>
    [...others.keys()].flatMap((to) => (edges.has(to) && to < from ? [] : [[from, to] as const])),
  );
  const every = Math.ceil(all.length / MOST_EDGES);
  for (const [at, [from, to]] of all.entries()) {
    if (at % every !== 0) continue;
    const [a, b] = [known(from), known(to)];
    if (a !== null && b !== null) pairs.push({ ends: [a, b], length: distance(a.at, b.at) });
  }
  if (pairs.length === 0) return null;
  let best: Growth = { share: 0, pose: 'in no pose' };
  const look = (placeOf: (end: End) => Vec3, pose: () => string): void => {
    const moved = new Map<End, Vec3>();
    for (const end of ends.values()) if (end !== null) moved.set(end, placeOf(end));
    for (const { ends: two, length } of pairs) {
      const [a, b] = two.map((end) => moved.get(end) ?? end.at);
      const growth = distance(a ?? [0, 0, 0], b ?? [0, 0, 0]) - length;
      const share = Number.isFinite(growth) ? growth / size(facts) : Infinity;
      if (share > best.share) best = { share, pose: pose() };
    }
  };
  const moving = [...ends.values()].filter((end) => end !== null);
  for (const bend of bends(facts, moving)) look(bend.placeOf, () => bend.words);
  const { rig } = facts;
  const clips = rig.clips.map((clip) => ({ clip, times: sampleTimes(clip.channels) }));
  const poses = clips.reduce((sum, { times }) => sum + times.length, 0);
  const step = Math.max(1, Math.ceil((poses * pairs.length) / MOST_LOOKS));
  for (const { clip, times } of clips) {
    const pose = new ClipPose(rig, clip);
    for (let at = 0; at < times.length; at += step) {
      const time = times[at] ?? 0;
      pose.seek(time);
      const matrices = new Map<RigSkin, Map<number, Mat4>>();
      look(
        (end) => inPose(end, matrices, (joint) => pose.worldOf(rig.joints.node[joint] ?? 0)),
        () => `in the clip "${clip.name}" at ${Number(time.toPrecision(3))} s`,
      );
    }
  }
  return best;
}

/** The turns of all joints that move some of the vertices, and of those above them. */
function* bends(facts: Facts, ends: readonly End[]) {
  const { joints } = facts.rig;
  const concerned = new Set<number>();
  for (const { stored, influences } of ends)
    for (const { slot } of influences)
      for (
        let joint = stored.skin.jointOfSlot[slot] ?? -1;
        joint !== -1 && !concerned.has(joint);
        joint = joints.parent[joint] ?? -1
      )
        concerned.add(joint);
  const angle = radians(BEND_DEGREES);
  for (const joint of [...concerned].sort((a, b) => a - b)) {
    const branch = branchOf(joints, joint);
    const centre = bindPose(facts).places[joint] ?? [0, 0, 0];
    for (const { along } of bendAxes(facts, joint))
      for (const sign of [1, -1])
        yield {
          words: `with "${joints.names[joint]}" turned by ${BEND_DEGREES}°`,
          // p' = (sum - s) p + s T p, where s is the share of the joints that turn.
          placeOf: ({ stored, at, influences }: End): Vec3 => {
            const turned = add(centre, turn(subtract(at, centre), along, sign * angle));
            let place: Vec3 = [0, 0, 0];
            for (const { slot, weight } of influences) {
              const isTurned = branch[stored.skin.jointOfSlot[slot] ?? -1] === 1;
              place = add(place, scale(isTurned ? turned : at, weight / (stored.group.full ?? 1)));
            }
            return place;
          },
        };
  }
}

/**
 * The sum of w W B p (glTF 2.0, 3.7.3 Skins).
 *
 * @param matrices W B by skin and slot, as far as they were needed in this pose.
 */
function inPose(
  { stored: { part, skin, vertex, group }, influences }: End,
  matrices: Map<RigSkin, Map<number, Mat4>>,
  worldOf: (joint: number) => Mat4,
): Vec3 {
  const bySlot = matrices.get(skin) ?? new Map<number, Mat4>();
  matrices.set(skin, bySlot);
  const point = vec3At(part.positions, vertex);
  let place: Vec3 = [0, 0, 0];
  for (const { slot, weight } of influences) {
    const joint = skin.jointOfSlot[slot] ?? -1;
    // An index past the list moves nothing that can be shown.
    if (joint === -1) continue;
    const matrix = bySlot.get(slot) ?? multiply(worldOf(joint), mat4At(skin.inverseBind, slot));
    bySlot.set(slot, matrix);
    place = add(place, scale(transformPoint(matrix, point), weight / (group.full ?? 1)));
  }
  return place;
}
