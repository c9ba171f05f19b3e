import { size } from './bind-mesh.js';
import { bindPose } from './bind-pose.js';
import { type Facts, fact } from './facts.js';
import { type Island, islandsOf } from './islands.js';
import { meshNet } from './mesh-net.js';
import { midline } from './midline.js';
import { pairs } from './pairs.js';
import { type Reach, reaches } from './skin-reach.js';
import { inOrder, isHungOn, type StrayIsland, strayAt } from './skin-spots.js';

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
  const suspects = reaches(facts)
    .filter(({ joint }) => partner[joint] !== -1)
    .filter((reach) => reachesPast(reach, half.x, sideSign(facts, reach.joint, half.x), past))
    .map(({ joint }) => joint);
  return inOrder(suspects).flatMap((joint) => {
    const { positions } = meshNet(facts);
    return islandsOf(facts, joint)
      .slice(1)
      .flatMap((island) => {
        const least = leastPast(island, positions, half.x, sideSign(facts, joint, half.x));
        if (!(least > past) || isHungOn(facts, joint, island)) return [];
        return [strayAt(facts, joint, island, least, partner[joint] ?? -1)];
      });
  });
});

function reachesPast({ corners }: Reach, middle: number, side: 1 | -1, past: number): boolean {
  for (const [x] of corners) if (side * (middle - x) > past) return true;
  return false;
}

/** How far past the middle the vertex is that is least so. */
function leastPast(
  { vertices }: Island,
  positions: Float32Array,
  middle: number,
  side: 1 | -1,
): number {
  let least = Infinity;
  for (const vertex of vertices)
    least = Math.min(least, side * (middle - (positions[3 * vertex] ?? middle)));
  return least;
}

/** +1 for a joint that stands at larger x than its partner. Names do not matter: places do. */
function sideSign(facts: Facts, joint: number, x: number): 1 | -1 {
  const { places } = bindPose(facts);
  const own = places[joint]?.[0] ?? x;
  const other = places[pairs(facts).partner[joint] ?? -1]?.[0] ?? x;
  return own >= other ? 1 : -1;
}
