import { mat4At, transformPoint } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import {
  direction,
  distance,
  length,
  reject,
  subtract,
  type Vec3,
  vec3At,
} from '../../rig/vec3.js';
import type { Facts } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import type { PlayStage } from './play-stage.js';
import { sameParts, weightsApart } from './weights.js';

/** Vertices that are skinned while clips play, one side of the comparison. Flat lists. */
export interface SkinProbes {
  readonly count: number;
  /** Where the influences of each vertex begin, and where those of the last end. */
  readonly first: Int32Array;
  /** Of each influence: the node that moves it, its weight, and the vertex in the frame of that node at bind. */
  readonly node: Int32Array;
  readonly weight: Float64Array;
  readonly point: Float64Array;
}

/** The same vertices in both rigs, and the place in the list of the stage of the joint that moves each most. */
export interface PlaySkin {
  readonly theirs: SkinProbes;
  readonly ours: SkinProbes;
  readonly of: Int32Array;
}

/** Vertices with other weights, the most different first, that are watched besides. */
const MOST_REWEIGHED = 100;
/** A vertex stands for a joint that has this share of it. */
const FOLLOWS = 0.5;
/** A smaller difference of weights moves nothing to speak of. */
const REWEIGHED = 0.01;

/**
 * Chooses the vertices to watch where both rigs have the same mesh: of each joint, among those that
 * follow it, the one farthest from it and the one farthest aside, which show most of any turn; and those
 * whose weights differ most. Real vertices, so that what is measured is seen;
 * few, so that a mesh of a million costs no more than one of a thousand.
 */
export function playSkin(facts: Facts, stage: PlayStage): PlaySkin {
  const { rig } = facts;
  const placeOf = new Int32Array(rig.joints.count).fill(-1);
  for (const [place, joint] of stage.ours.entries()) placeOf[joint] = place;
  const chosen = chooseVertices(facts, stage, placeOf);
  const theirs = chosen.map(({ theirs: part, vertex }) => ({ part, vertex }));
  const ours = chosen.map(({ ours: part, vertex }) => ({ part, vertex }));
  return {
    theirs: probesOf(stage.approved.rig, theirs),
    ours: probesOf(rig, ours),
    of: Int32Array.from(chosen, ({ place }) => place),
  };
}

interface Chosen {
  readonly theirs: number;
  readonly ours: number;
  readonly vertex: number;
  readonly place: number;
}

function chooseVertices(facts: Facts, stage: PlayStage, placeOf: Int32Array): Chosen[] {
  const reweighed = weightsApart(facts)
    .flatMap(({ theirs, ours, byVertex, jointOf }) =>
      mostOf(byVertex, MOST_REWEIGHED).map((vertex) => {
        const place = placeOf[jointOf[vertex] ?? -1] ?? -1;
        return { theirs, ours, vertex, place, apart: byVertex[vertex] ?? 0 };
      }),
    )
    .sort((a, b) => b.apart - a.apart);
  const ends = farthest(facts, stage, (place, origin) => distance(place, origin));
  // A roll leaves the end where it is: what lies farthest aside of the way to it shows that.
  const sides = farthest(facts, stage, (place, origin, index) => {
    const way = direction(subtract(ends.get(index)?.at ?? origin, origin));
    return way === null ? 0 : length(reject(subtract(place, origin), way));
  });
  return [...ends.values(), ...sides.values(), ...reweighed.slice(0, MOST_REWEIGHED)];
}

/** For each joint of the stage, the vertex that follows it and is farthest by some measure, bind pose. */
function farthest(
  facts: Facts,
  stage: PlayStage,
  measure: (place: Vec3, origin: Vec3, index: number) => number,
): Map<number, Chosen & { readonly at: Vec3 }> {
  const { rig } = stage.approved;
  const { standing, places } = bindPose(stage.approved);
  const indexOf = new Int32Array(rig.joints.count).fill(-1);
  for (const [index, joint] of stage.theirs.entries()) indexOf[joint] = index;
  const found = new Map<number, Chosen & { readonly at: Vec3; readonly away: number }>();
  for (const same of sameParts(facts)) {
    const part = rig.parts[same.theirs];
    const skin = rig.skins[part?.skin ?? -1];
    const stands = standing[part?.skin ?? -1];
    if (!part || !skin || !stands) continue;
    for (let k = 0; k < part.influences * part.vertexCount; k++) {
      if (!((part.weights[k] ?? 0) >= FOLLOWS)) continue;
      const joint = skin.jointOfSlot[part.slots[k] ?? 0] ?? -1;
      const place = indexOf[joint] ?? -1;
      const origin = places[joint];
      if (place === -1 || origin === undefined) continue;
      const vertex = Math.floor(k / part.influences);
      const at = transformPoint(stands, vec3At(part.positions, vertex));
      const away = measure(at, origin, place);
      if (away > (found.get(place)?.away ?? -1))
        found.set(place, { ...same, vertex, place, at, away });
    }
  }
  return found;
}

/** The vertices with the largest differences of weights, as many as asked for at most. */
function mostOf(byVertex: Float64Array, count: number): number[] {
  const list: number[] = [];
  for (const [vertex, apart] of byVertex.entries()) if (apart > REWEIGHED) list.push(vertex);
  return list.sort((a, b) => (byVertex[b] ?? 0) - (byVertex[a] ?? 0) || a - b).slice(0, count);
}

/** What each vertex is in the frames of the joints that move it: B_j p, so that only W_j is left to do. */
function probesOf(rig: Rig, list: readonly { part: number; vertex: number }[]): SkinProbes {
  const first = [0];
  const [node, weight, point]: [number[], number[], number[]] = [[], [], []];
  for (const { part: index, vertex } of list) {
    const part = rig.parts[index];
    const skin = rig.skins[part?.skin ?? -1];
    for (let k = 0; part && skin && k < part.influences; k++) {
      const at = part.influences * vertex + k;
      const [slot, share] = [part.slots[at] ?? 0, part.weights[at] ?? 0];
      const joint = skin.jointOfSlot[slot] ?? -1;
      if (!(share > 0) || joint === -1) continue;
      node.push(rig.joints.node[joint] ?? 0);
      weight.push(share);
      point.push(...transformPoint(mat4At(skin.inverseBind, slot), vec3At(part.positions, vertex)));
    }
    first.push(node.length);
  }
  return {
    count: list.length,
    first: Int32Array.from(first),
    node: Int32Array.from(node),
    weight: Float64Array.from(weight),
    point: Float64Array.from(point),
  };
}

/**
 * Skins the vertices by world matrices of nodes, x, y, z each, written to `out`. Weights that do not sum
 * to 1 are another rule's: they count as if they did.
 */
export function skinProbes(
  { count, first, node, weight, point }: SkinProbes,
  worldOf: (node: number) => Float64Array,
  out: Float64Array,
): void {
  for (let at = 0; at < count; at++) {
    let [x, y, z, total] = [0, 0, 0, 0];
    for (let k = first[at] ?? 0; k < (first[at + 1] ?? 0); k++) {
      const m = worldOf(node[k] ?? 0);
      const w = weight[k] ?? 0;
      const px = point[3 * k] ?? 0;
      const py = point[3 * k + 1] ?? 0;
      const pz = point[3 * k + 2] ?? 0;
      x += w * ((m[0] ?? 0) * px + (m[4] ?? 0) * py + (m[8] ?? 0) * pz + (m[12] ?? 0));
      y += w * ((m[1] ?? 0) * px + (m[5] ?? 0) * py + (m[9] ?? 0) * pz + (m[13] ?? 0));
      z += w * ((m[2] ?? 0) * px + (m[6] ?? 0) * py + (m[10] ?? 0) * pz + (m[14] ?? 0));
      total += w;
    }
    const share = total > 0 ? 1 / total : 1;
    out[3 * at] = share * x;
    out[3 * at + 1] = share * y;
    out[3 * at + 2] = share * z;
  }
}
