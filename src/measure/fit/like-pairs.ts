import { distance, type Vec3 } from '../../rig/vec3.js';
import type { Facts } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { SAME_PLACE } from './counterparts.js';
import { matching } from './matching.js';

/**
 * The joint of a rig that answers to each joint of a model, -1 for none. Two within 5 % of size can
 * answer to each other: those whose names match first, then the nearest. What is left on both sides
 * answers by its name, wherever it stands.
 *
 * @param own With the model as its approved rig.
 * @param places Where the joints of the model are in the rig. World units of the rig.
 * @param size Of the model there.
 */
export function likePairs(own: Facts, places: readonly Vec3[], size: number): Int32Array {
  const byName = matching(own)?.ofApproved ?? new Int32Array(places.length).fill(-1);
  const ofModel = new Int32Array(places.length).fill(-1);
  const taken = new Set<number>();
  const near = nearPairs(places, bonePose(own).places, (SAME_PLACE / 100) * size);
  const isNamed = ({ joint, answer }: NearPair): boolean => byName[joint] === answer;
  near.sort((a, b) => Number(isNamed(b)) - Number(isNamed(a)) || a.away - b.away);
  const take = (joint: number, answer: number): void => {
    if (answer === -1 || ofModel[joint] !== -1 || taken.has(answer)) return;
    ofModel[joint] = answer;
    taken.add(answer);
  };
  for (const { joint, answer } of near) take(joint, answer);
  for (const [joint, answer] of byName.entries()) take(joint, answer);
  return ofModel;
}

interface NearPair {
  readonly joint: number;
  readonly answer: number;
  readonly away: number;
}

/** Pairs of places that are near each other. Looked for along X, so that a crowd is not held to a crowd. */
function nearPairs(places: readonly Vec3[], others: readonly Vec3[], within: number): NearPair[] {
  const sorted = [...others.entries()].sort(([, a], [, b]) => a[0] - b[0]);
  return places.flatMap((place, joint): NearPair[] => {
    const found: NearPair[] = [];
    for (let at = firstFrom(sorted, place[0] - within); at < sorted.length; at++) {
      const [answer = -1, other] = sorted[at] ?? [];
      if (other === undefined || other[0] > place[0] + within) break;
      const away = distance(place, other);
      if (away <= within) found.push({ joint, answer, away });
    }
    // A heap of joints in one place tells nothing more than its nearest do.
    return found.sort((a, b) => a.away - b.away).slice(0, MOST_NEAR);
  });
}

const MOST_NEAR = 64;

function firstFrom(sorted: readonly (readonly [number, Vec3])[], x: number): number {
  let [low, high] = [0, sorted.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((sorted[middle]?.[1][0] ?? Infinity) < x) low = middle + 1;
    else high = middle;
  }
  return low;
}
