import type { Shares } from './gaps.js';
import type { StoredVertex } from './rig-weights.js';
import { type Influences, scaled } from './vertex-weights.js';
import { influencesOf } from './weight-groups.js';

/** A smaller weight moves nothing that anyone sees, and takes the room of another. Share of 1. */
const LEAST = 1e-3;

/**
 * Shares of joints as one vertex can store them: only joints of its skin, no more than fit, the largest first;
 * full in sum, in whole steps by largest remainder. Null where its skin has none of the joints.
 *
 * @param budget How many joints may move a vertex; one that had more may keep as many.
 */
export function storedShares(
  { group, vertex, skin }: StoredVertex,
  shares: Shares,
  budget: number,
): Influences | null {
  const { full } = group;
  if (full === null) return null;
  const present = influencesOf(group, vertex);
  const own = new Set(present.map(({ slot }) => slot));
  const room = Math.min(4 * group.sets.length, Math.max(budget, present.length));
  const list = [...shares]
    .flatMap(([joint, weight]) => {
      const slot = skin.slotOfJoint[joint] ?? -1;
      return slot === -1 || (weight < LEAST && !own.has(slot)) ? [] : [{ slot, weight }];
    })
    .sort((a, b) => b.weight - a.weight || a.slot - b.slot)
    .slice(0, room);
  return scaled(list, full, full);
}
