import type { LimitOf } from '../../kit/rule.js';
import type { Facts } from '../../measure/facts.js';
import type { Frame } from '../../measure/skeleton/frame.js';
import { frameAngle, frames } from '../../measure/skeleton/frames.js';
import { mirror } from '../../measure/skeleton/mirror.js';
import type { Pair } from '../../measure/skeleton/pairs.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';
import type { FindingReport } from '../../report/report-types.js';
import { limbsOf } from './limbs.js';
import { mirroredFrame, schemeFor } from './mirrored-frame.js';
import { suits } from './suits.js';

/** The frame that a joint is to have, and the finding that asks for it. */
export interface Wanted {
  readonly frame: Frame;
  readonly finding: FindingReport;
}

/** What becomes of pairs. */
export interface Paired {
  readonly wanted: ReadonlyMap<number, Wanted>;
  /** Partners of which neither is turned without the other. */
  readonly tied: ReadonlyMap<number, number>;
  /** Joints of pairs that no frames suit, with the rule that asked for one. */
  readonly unsuited: readonly { readonly rule: string; readonly joint: number }[];
}

/** A frame nearer to the mirrored one of its partner is left as it is. Degrees. */
const MIRRORED = 2;

/** A limb as one of its sides would have it. */
interface MirroredLimb {
  /** What the other side takes. */
  readonly frames: ReadonlyMap<number, Frame>;
  /** Pairs that this does not suit. */
  readonly unsuited: readonly Pair[];
}

/**
 * Sees to it that pairs whose bones mirror are turned together. The side of a limb on which less is to be
 * turned is right already: the other takes what the rig's mirror scheme makes of it, and so do the joints
 * beside it in its segment, whose roll as a whole is free. Where no side suits both, neither is turned.
 *
 * @param planned What is wanted of each joint by itself.
 * @param unmirrored Findings about pairs that do not mirror.
 */
export function pairedFrames(
  facts: Facts,
  planned: ReadonlyMap<number, Wanted>,
  unmirrored: readonly FindingReport[],
  limitOf: LimitOf,
): Paired {
  const wanted = new Map(planned);
  const tied = new Map<number, number>();
  const unsuited: { rule: string; joint: number }[] = [];
  const listed = new Map(
    unmirrored.flatMap((finding) =>
      finding.places.flatMap(({ joint }): [number, FindingReport][] =>
        joint === null ? [] : [[joint, finding]],
      ),
    ),
  );
  const findingOf = ({ left, right }: Pair): FindingReport | undefined =>
    planned.get(left)?.finding ??
    planned.get(right)?.finding ??
    listed.get(left) ??
    listed.get(right);
  const pairs = mirror(facts).pairs.map(({ pair }) => pair);
  for (const limb of limbsOf(facts, pairs)) {
    const first = limb.map(findingOf).find((finding) => finding !== undefined);
    if (first === undefined) continue;
    const turns = (side: Side): number => limb.filter((pair) => planned.has(pair[side])).length;
    const masters: Side[] = ['left', 'right'];
    if (turns('right') < turns('left')) masters.reverse();
    const made = masters.map((master) =>
      mirroredLimb(facts, { limb, master, planned, findingOf, limitOf }),
    );
    const best = made.reduce((least, other) =>
      other.unsuited.length < least.unsuited.length ? other : least,
    );
    for (const pair of limb) {
      const { left, right } = pair;
      const finding = findingOf(pair) ?? first;
      const isUnsuited = best.unsuited.includes(pair);
      for (const joint of [left, right]) {
        const frame = best.frames.get(joint);
        if (isUnsuited) wanted.delete(joint);
        else if (frame !== undefined) wanted.set(joint, { frame, finding });
        if (isUnsuited) unsuited.push({ rule: finding.rule, joint });
      }
      if (!wanted.has(left) || !wanted.has(right)) continue;
      tied.set(left, right).set(right, left);
    }
  }
  return { wanted, tied, unsuited };
}

type Side = 'left' | 'right';

interface Limb {
  readonly limb: readonly Pair[];
  /** The side that the other follows. */
  readonly master: Side;
  readonly planned: ReadonlyMap<number, Wanted>;
  readonly findingOf: (pair: Pair) => FindingReport | undefined;
  readonly limitOf: LimitOf;
}

function mirroredLimb(
  facts: Facts,
  { limb, master, planned, findingOf, limitOf }: Limb,
): MirroredLimb {
  const frameOf = (joint: number): Frame | undefined =>
    planned.get(joint)?.frame ?? frames(facts)[joint];
  const scheme = schemeFor(facts, frameOf);
  const follower = master === 'left' ? 'right' : 'left';
  /** What each joint of the other side would take where its own frame is another, and how far they are apart. */
  const targets = new Map(
    limb.flatMap((pair): [number, { readonly frame: Frame; readonly off: number }][] => {
      const [from, own] = [frameOf(pair[master]), frameOf(pair[follower])];
      if (scheme === null || from === undefined || own === undefined) return [];
      const frame = mirroredFrame(facts, pair[master], from, scheme);
      const off = frameAngle(own, frame);
      return off > MIRRORED ? [[pair[follower], { frame, off }]] : [];
    }),
  );
  const taken = new Map<number, Frame>();
  const take = (joint: number): void => {
    const target = targets.get(joint);
    if (target === undefined || taken.has(joint)) return;
    taken.set(joint, target.frame);
    if (target.off <= limitOf('axis.up', 'warn')) return;
    // The segment is turned as a whole, since its joints have one roll.
    for (const { joints } of segmentRolls(facts)) if (joints.includes(joint)) joints.forEach(take);
  };
  for (const pair of limb) if (findingOf(pair) !== undefined) take(pair[follower]);
  const followers = new Set(limb.map((pair) => pair[follower]));
  const isFree = (joint: number): boolean => followers.has(joint);
  const unsuited = limb.filter((pair) => {
    const frame = taken.get(pair[follower]);
    return frame !== undefined && !suits(facts, pair[follower], frame, isFree, limitOf);
  });
  // What its own segment asks for is near enough to the mirrored frame, if no rule finds it off.
  const isNear = (pair: Pair): boolean =>
    (targets.get(pair[follower])?.off ?? 0) <= limitOf('axis.mirror', 'turn');
  for (const pair of unsuited) if (isNear(pair)) taken.delete(pair[follower]);
  return { frames: taken, unsuited: unsuited.filter((pair) => !isNear(pair)) };
}
