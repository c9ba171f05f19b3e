import { distance, type Vec3, vec3At } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { type Island, islandsOf, PAINTED } from '../geometry/islands.js';
import { meshNet } from '../geometry/mesh-net.js';
import { distanceToSegment } from '../geometry/segment-distance.js';
import { bindPose } from '../pose/bind-pose.js';
import { distanceToBones, isNearBones, nearestMovingBone } from './skin-reach.js';
import {
  isHungOn,
  mainPatch,
  paintedOf,
  type StrayIsland,
  suspects,
  topWeightOn,
  weightOf,
} from './skin-spots.js';

/** Skin nearer to the joint's own bones than this belongs to it. Share of size. */
const FAR_SHARE = 0.1;
/** It is stray when it is this many times as far from them as from the nearest other bone. */
const TIMES = 3;
/**
 * A turn of the joint by one radian takes a vertex about weight x distance along. Less than this share
 * of size is the tail of smooth weights, which nobody sees.
 */
const FLIES_SHARE = 0.01;

/**
 * Islands, apart from the joint's main patch, of which every painted vertex is nearest to a bone of
 * another family (not the joint, its parent or child), over 3 x as far from the joint's own bones as
 * from that one, and over 10 % of size away; that some turn would show, and that are no prop hung on the
 * joint. (Without the last two, and with primitives cut apart at their borders, the measure found sound
 * skin stray on three of eight public rigs.)
 */
export const strayIslands = fact((facts): readonly StrayIsland[] => {
  const far = FAR_SHARE * size(facts);
  const joints = suspects(facts, ({ joint, corners }) =>
    corners.some((corner) => !isNearBones(facts, joint, corner, far)),
  );
  return joints.flatMap((joint) => {
    const islands = islandsOf(facts, joint);
    // Of most joints no island is off as a whole, and the main patch need not be found.
    const off = islands.filter((island) => isOff(facts, joint, island, far));
    const main = off.length === 0 ? undefined : mainPatch(facts, joint, islands);
    const others = off.filter((island) => island !== main);
    if (main === undefined || others.length === 0) return [];
    const distanceOf = jointDistance(facts, joint, main);
    return others.flatMap((island) => strayOf(facts, joint, island, distanceOf, far) ?? []);
  });
});

/** Whether every painted vertex of an island is far from the joint's bones, and there is one. */
function isOff(facts: Facts, joint: number, { vertices }: Island, far: number): boolean {
  const { positions } = meshNet(facts);
  let isPainted = false;
  for (const vertex of vertices) {
    if (!(weightOf(facts, joint, vertex) > PAINTED)) continue;
    if (isNearBones(facts, joint, vec3At(positions, vertex), far)) return false;
    isPainted = true;
  }
  return isPainted;
}

function strayOf(
  facts: Facts,
  joint: number,
  island: Island,
  distanceOf: (point: Vec3) => number,
  far: number,
): StrayIsland | null {
  const { parent, children } = facts.rig.joints;
  const family = new Set([joint, parent[joint] ?? -1, ...(children[joint] ?? [])]);
  const { positions } = meshNet(facts);
  const vertices = paintedOf(facts, joint, island);
  let [away, nearest, flies] = [Infinity, -1, 0];
  for (const vertex of vertices) {
    const point = vec3At(positions, vertex);
    const gap = distanceOf(point);
    if (!(gap > far)) return null;
    const other = nearestMovingBone(facts, point);
    if (family.has(other.joint) || !(gap > TIMES * other.distance)) return null;
    if (gap < away) [away, nearest] = [gap, other.joint];
    flies = Math.max(flies, gap * weightOf(facts, joint, vertex));
  }
  if (!(flies > FLIES_SHARE * size(facts)) || isHungOn(facts, joint, island)) return null;
  return { joint, vertices, away, nearest, top: topWeightOn(facts, joint, vertices) };
}

/**
 * Distance from a joint's own bones. An end joint has none: its main patch shows how far it reaches, as
 * in a shin whose foot hangs elsewhere, or a head.
 */
function jointDistance(facts: Facts, joint: number, main: Island): (point: Vec3) => number {
  if ((facts.rig.joints.children[joint] ?? []).length > 0)
    return (point) => distanceToBones(facts, joint, point);
  const { positions } = meshNet(facts);
  const here = bindPose(facts).places[joint] ?? [0, 0, 0];
  let end = here;
  for (const vertex of paintedOf(facts, joint, main)) {
    const point = vec3At(positions, vertex);
    if (distance(point, here) > distance(end, here)) end = point;
  }
  return (point) => distanceToSegment(point, here, end);
}
