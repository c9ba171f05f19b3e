import { distance, type Vec3, vec3At } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { type Island, islandsOf, PAINTED } from '../geometry/islands.js';
import { meshNet } from '../geometry/mesh-net.js';
import { midline } from '../geometry/midline.js';
import { distanceToSegment } from '../geometry/segment-distance.js';
import { bindPose } from '../pose/bind-pose.js';
import { pairs } from '../skeleton/pairs.js';
import { distanceToBones, isNearBones, nearestMovingBone } from './skin-reach.js';
import { isProp, mainPatch, painted, type StrayIsland, suspects, weightOf } from './skin-spots.js';

/** Skin nearer to the joint's own bones than this belongs to it. Share of size. */
const FAR_SHARE = 0.1;
/** It is stray when it is this many times as far from them as from the nearest other bone. */
const TIMES = 3;
/**
 * A turn of the joint by one radian takes a vertex about weight x distance along. Less than this
 * share of size is the tail of smooth weights, which nobody sees.
 */
const FLIES_SHARE = 0.01;

/**
 * Islands, apart from the joint's main patch, of which every painted vertex is nearest to a bone of
 * another family (not the joint, its parent or child), over 3 x as far from the joint's own bones
 * as from that one, and over 10 % of size away; that some turn would show, and that are no prop
 * hung on the joint. (Without the last two, and with primitives cut apart at their borders, the
 * measure found sound skin stray on three of eight public rigs.)
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
  const vertices = painted(facts, joint, island);
  const gaps: number[] = [];
  for (const vertex of vertices) {
    const gap = distanceOf(vec3At(positions, vertex));
    // Of most islands the first vertex is near, and the others need no look.
    if (!(gap > far)) return null;
    gaps.push(gap);
  }
  const flies = vertices.some((vertex, at) => {
    return (gaps[at] ?? 0) * weightOf(facts, joint, vertex) > FLIES_SHARE * size(facts);
  });
  if (!flies || isProp(facts, joint, island)) return null;
  // What costs most comes last: among thousands of long bones the nearest is hard to tell.
  let [away, nearest] = [Infinity, -1];
  for (const [at, vertex] of vertices.entries()) {
    const [gap = 0, other] = [gaps[at], nearestMovingBone(facts, vertex)];
    if (family.has(other.joint) || !(gap > TIMES * other.distance)) return null;
    if (gap < away) [away, nearest] = [gap, other.joint];
  }
  return { joint, vertices, away, nearest };
}

/**
 * Distance from a joint's own bones. An end joint has none: its main patch shows how far it
 * reaches, as in a shin whose foot hangs elsewhere, or a head.
 */
function jointDistance(facts: Facts, joint: number, main: Island): (point: Vec3) => number {
  if ((facts.rig.joints.children[joint] ?? []).length > 0)
    return (point) => distanceToBones(facts, joint, point);
  const { positions } = meshNet(facts);
  const here = bindPose(facts).places[joint] ?? [0, 0, 0];
  let end = here;
  for (const vertex of painted(facts, joint, main)) {
    const point = vec3At(positions, vertex);
    if (distance(point, here) > distance(end, here)) end = point;
  }
  return (point) => distanceToSegment(point, here, end);
}

/** Past the midline by this share of size is past it. */
const PAST_SHARE = 0.01;

/** Islands of a sided joint, not its main patch, all past the midline; null without symmetry. */
export const wrongSideIslands = fact((facts): readonly StrayIsland[] | null => {
  const half = midline(facts);
  if (!half.symmetric) return null;
  const past = PAST_SHARE * size(facts);
  const { partner } = pairs(facts);
  const joints = suspects(facts, ({ joint, corners }) => {
    const side = sideSign(facts, joint, half.x);
    return partner[joint] !== -1 && corners.some(([x]) => side * (half.x - x) > past);
  });
  return joints.flatMap((joint) => {
    const islands = islandsOf(facts, joint);
    const side = sideSign(facts, joint, half.x);
    const wrong = islands.flatMap((island) => {
      const away = pastBy(facts, joint, island, side * half.x - past, side);
      return away > 0 ? [{ island, away: away + past }] : [];
    });
    const main = wrong.length === 0 ? undefined : mainPatch(facts, joint, islands);
    const nearest = partner[joint] ?? -1;
    return wrong.flatMap(({ island, away }) => {
      if (island === main || isProp(facts, joint, island)) return [];
      return [{ joint, vertices: painted(facts, joint, island), away, nearest }];
    });
  });
});

/**
 * How far the painted vertices of an island are past a line at least; 0 where one is not past it,
 * or none is painted. Places are compared before weights: of most islands the first vertex decides.
 */
function pastBy(facts: Facts, joint: number, island: Island, line: number, side: 1 | -1): number {
  const { positions } = meshNet(facts);
  let least = Infinity;
  for (const vertex of island.vertices) {
    const away = line - side * (positions[3 * vertex] ?? 0);
    if (away >= least || weightOf(facts, joint, vertex) <= PAINTED) continue;
    if (!(away > 0)) return 0;
    least = away;
  }
  return least < Infinity ? least : 0;
}

/** +1 for a joint at a larger x than its partner: names do not count. */
function sideSign(facts: Facts, joint: number, x: number): 1 | -1 {
  const { places } = bindPose(facts);
  const here = places[joint]?.[0] ?? x;
  const there = places[pairs(facts).partner[joint] ?? -1]?.[0] ?? x;
  return here >= there ? 1 : -1;
}
