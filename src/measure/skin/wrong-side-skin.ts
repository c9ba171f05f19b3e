import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { type Island, islandsOf, PAINTED } from '../geometry/islands.js';
import { meshNet } from '../geometry/mesh-net.js';
import { midline } from '../geometry/midline.js';
import { bindPose } from '../pose/bind-pose.js';
import { pairs } from '../skeleton/pairs.js';
import {
  isHungOn,
  mainPatch,
  paintedOf,
  type StrayIsland,
  suspects,
  topWeightOn,
  weightOf,
} from './skin-spots.js';

/** Past the midline by this share of size is past it. */
const PAST_SHARE = 0.01;

/**
 * Islands of a sided joint, apart from its main patch, that lie wholly past the midline of a
 * symmetric mesh. Null when the mesh is not symmetric.
 */
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
      const away = leastPast(facts, joint, island, side * half.x - past, side);
      return away > 0 ? [{ island, away: away + past }] : [];
    });
    const main = wrong.length === 0 ? undefined : mainPatch(facts, joint, islands);
    const nearest = partner[joint] ?? -1;
    return wrong.flatMap(({ island, away }) => {
      if (island === main || isHungOn(facts, joint, island)) return [];
      const vertices = paintedOf(facts, joint, island);
      return [{ joint, vertices, away, nearest, top: topWeightOn(facts, joint, vertices) }];
    });
  });
});

/**
 * How far the painted vertices of an island are past a line at least; 0 where one is not past it, or
 * none is painted. Places are compared before weights: of most islands the first vertex decides.
 */
function leastPast(
  facts: Facts,
  joint: number,
  { vertices }: Island,
  line: number,
  side: 1 | -1,
): number {
  const { positions } = meshNet(facts);
  let least = Infinity;
  for (const vertex of vertices) {
    const away = line - side * (positions[3 * vertex] ?? 0);
    if (away >= least || weightOf(facts, joint, vertex) <= PAINTED) continue;
    if (!(away > 0)) return 0;
    least = away;
  }
  return least < Infinity ? least : 0;
}

/** +1 for a joint at a larger x than its partner: by their places, whatever their names. */
function sideSign(facts: Facts, joint: number, x: number): 1 | -1 {
  const { places } = bindPose(facts);
  const here = places[joint]?.[0] ?? x;
  const there = places[pairs(facts).partner[joint] ?? -1]?.[0] ?? x;
  return here >= there ? 1 : -1;
}
