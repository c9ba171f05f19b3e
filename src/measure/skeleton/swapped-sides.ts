import { distance, subtract } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { leftSign } from '../names/humanoid.js';
import { bindPose } from '../pose/bind-pose.js';
import { type Pair, pairs } from './pairs.js';

/** Joints that are named for another side than the one they are on, in order. */
export interface SwappedSides {
  /** Joints on and below a limb of the other side (a right thumb on a left hand). */
  readonly hung: readonly number[];
  /** Joints of whole limbs whose left lies where the right of most other limbs lies. */
  readonly limbs: readonly number[];
  /** Whether one of those limbs is an arm or a leg. */
  readonly whole: boolean;
  /** The left joints at the top of the limbs that they were held against. */
  readonly reference: readonly number[];
  /** On which side of X left is: 1 for +X, -1 for -X. */
  readonly leftSign: number;
}

/** Left and right of a pair are told apart by X from this distance on; share of size. */
const APART_SHARE = 0.02;
/** A limb of fewer joints a side is a feather, an eye or a control: it tells less of what is left. */
const LIMB_JOINTS = 2;
/** One of as many is an arm or a leg. */
const WHOLE_JOINTS = 3;
/** A small thing is held against the others only where this share of all agrees. */
const MOST = 2 / 3;

/**
 * Limbs are held against each other, longer ones twice: a body that has its left at -X throughout
 * only faces away. Of as many each way those are wrong that do not face as the asset does.
 */
export const swappedSides = fact((facts): SwappedSides => {
  const { above, hung } = lineages(facts);
  const { named, list } = pairs(facts);
  const limbs = list.flatMap((pair) => {
    const { left, right } = pair;
    const isNamed = named[left]?.side === 'left' && named[right]?.side === 'right';
    const isTop = above[left] === -1 && above[right] === -1;
    const leftward = isNamed && isTop ? leftOf(facts, pair) : 0;
    if (leftward === 0) return [];
    const [onLeft, onRight] = [limbOf(facts, left), limbOf(facts, right)];
    const reach = Math.min(onLeft.length, onRight.length);
    const votes = reach < LIMB_JOINTS ? 1 : 2;
    return [{ left, leftward, reach, votes, joints: [...onLeft, ...onRight] }];
  });
  const total = limbs.reduce((sum, { votes }) => sum + votes, 0);
  const lead = limbs.reduce((sum, { votes, leftward }) => sum + votes * leftward, 0);
  const sign = lead === 0 ? leftSign(facts) : Math.sign(lead);
  const isClear = (total + Math.abs(lead)) / 2 > MOST * total;
  const wrong = limbs.filter(
    ({ leftward, reach }) => leftward === -sign && (isClear || reach >= LIMB_JOINTS),
  );
  return {
    hung,
    limbs: wrong.flatMap(({ joints }) => joints).sort((a, b) => a - b),
    whole: wrong.some(({ reach }) => reach >= WHOLE_JOINTS),
    reference: limbs.filter(({ leftward }) => leftward === sign).map(({ left }) => left),
    leftSign: sign,
  };
});

/**
 * Whether the left of a pair lies at +X (1) or -X (-1) of its right; 0 where they are not plainly
 * apart along X: a mule that walks along X has one hoof before the other.
 */
function leftOf(facts: Facts, { left, right }: Pair): number {
  const { places } = bindPose(facts);
  const [x, y, z] = subtract(places[left] ?? [0, 0, 0], places[right] ?? [0, 0, 0]);
  const least = Math.max(APART_SHARE * size(facts), Math.abs(y), Math.abs(z));
  return Math.abs(x) > least ? Math.sign(x) : 0;
}

/** The nearest joint above each that is named for a side, -1 for none, and the `hung` joints. */
function lineages(facts: Facts): { above: Int32Array; hung: readonly number[] } {
  const { parent, count } = facts.rig.joints;
  const { named } = pairs(facts);
  const above = new Int32Array(count).fill(-1);
  const isHung = new Uint8Array(count);
  for (let joint = 0; joint < count; joint++) {
    const up = parent[joint] ?? -1;
    const limb = named[up] != null ? up : (above[up] ?? -1);
    above[joint] = limb;
    const name = named[joint];
    if (limb === -1 || name == null || !name.apart) continue;
    if (named[limb]?.side === name.side) isHung[joint] = isHung[limb] ?? 0;
    else if (isHung[limb] === 0 && liesWith(facts, joint, limb)) isHung[joint] = 1;
  }
  return { above, hung: [...isHung.keys()].filter((joint) => isHung[joint] === 1) };
}

/** Whether a joint lies nearer to a limb than to its partner: the name is wrong, not the parent. */
function liesWith(facts: Facts, joint: number, limb: number): boolean {
  const { places } = bindPose(facts);
  const [here, near, far] = [places[joint], places[limb], places[pairs(facts).partner[limb] ?? -1]];
  return !!here && !!near && !!far && distance(here, near) < distance(here, far);
}

/** A joint and all below it that are named for its side. */
function limbOf(facts: Facts, top: number): number[] {
  const { named } = pairs(facts);
  const branch = [top];
  for (const joint of branch)
    for (const child of facts.rig.joints.children[joint] ?? []) branch.push(child);
  return branch.filter((joint) => named[joint]?.side === named[top]?.side);
}
