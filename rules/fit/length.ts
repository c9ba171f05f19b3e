import { atJoint, type Finding, findingsOf, judged } from '../../src/kit/finding.js';
import { gatherAlike } from '../../src/kit/gather-alike.js';
import type { WithOthers } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import { alignment } from '../../src/measure/fit/alignment.js';
import { differences } from '../../src/measure/fit/differences.js';
import { against, limit, line, point, sameOf } from '../parts.js';
import { lessOf, whyNotCompared } from './with-approved.js';

/** A hand that the clip lays on a knee lies beside it when the arm is longer. */
export const fitLength = rule({
  id: 'fit.length',
  level: 'warning',
  title: 'a bone that is longer, shorter or elsewhere than in the approved rig',
  why: 'Clips turn joints, and the bones carry the turns outwards. Where one bone is longer than the others ask for, hands miss what they hold and feet leave the ground.',
  formula:
    'How far a joint is in the bind pose from where the approved bone would put it, relative to the length of that bone. The approved bone is first made as large as this rig is (by the ratio of the skeletons) and turned as the parent is. So a rig that is taller as a whole fits. A bone shorter than 1 % of the skeleton is held to that length. Bones that are as much too long or too short as another, and left and right, have one finding.',
  remedy:
    'Move the joint to where the approved rig has it, with all that hangs on it and its skin.',
  source: 'common practice',
  limits: { length: limit(2, '% of bone', 'end of a bone away from where it belongs') },
  onApproved: true,
  check(facts, limits) {
    const not = whyNotCompared(facts);
    if (not !== null) return not;
    const laid = alignment(facts);
    const bones = differences(facts).list.flatMap(({ joint, against: from, bone }): Bone[] => {
      if (bone === null || laid === null) return [];
      const whole = Math.max(bone.wanted, (LEAST_BONE / 100) * laid.size);
      return whole > 0 ? [{ joint, from, ...bone, percent: (100 * bone.off) / whole }] : [];
    });
    const findings = findingsOf(bones, (bone): Finding<WithOthers<Bone>> | null => {
      if (!(bone.percent > limits.length)) return null;
      const [start, end] = [laid?.rig.places[bone.from], laid?.rig.places[bone.joint]];
      return {
        ...atJoint(bone.joint),
        joints: [bone.joint, bone.from],
        level: 'warning',
        ...against(bone.percent, limits.length, '% of bone'),
        evidence: [
          point('by the approved rig', bone.place),
          ...(start && end ? [line('bone', [start, end])] : []),
        ],
        details: { worst: bone, others: [] },
      };
    });
    return judged('joints', bones.length, findings);
  },
  gather: (facts, findings) => gatherAlike(facts, findings, areAlike),
  say({ details: { worst, others }, measured, limit }, words) {
    const [joint, from] = [words.joint(worst.joint), words.joint(worst.from)];
    const held = `limit ${words.percent(limit ?? 0)} of the bone`;
    const bone = `The bone from ${from} to ${joint}`;
    const isLength = isAlongBone(worst);
    const alike = others.every((other) => isOffAlike(worst, other));
    const also = alike ? sameOf(others, words) : lessOf(others, words);
    const moved = 'with all that hangs on it and the skin';
    return {
      message: `${isLength ? bone : joint} ${howOff(worst, measured, from, words)} (${held})${also}.`,
      remedy:
        others.length > 0
          ? `Move each of these joints to where the approved rig has it, ${moved}.`
          : isLength
            ? `Move ${joint} along its bone until the bone is ${words.length(worst.wanted)} long, ${moved}.`
            : `Move ${joint} back by ${words.length(worst.off)}, ${moved}.`,
    };
  },
});

function howOff(bone: Bone, measured: number, from: string, words: Words): string {
  const { length, wanted, off } = bone;
  return isAlongBone(bone)
    ? `is ${words.percent(measured)} ${length > wanted ? 'longer' : 'shorter'} than in the approved rig: ${words.length(length)}, not ${words.length(wanted)}`
    : `stands ${words.length(off)} away from where the bone from ${from} ends in the approved rig, ${words.percent(measured)} of the bone`;
}

/** A bone and how far its end is off, in percent of its length in the approved rig. */
interface Bone {
  readonly joint: number;
  readonly from: number;
  readonly length: number;
  readonly wanted: number;
  readonly off: number;
  readonly place: readonly [number, number, number];
  readonly percent: number;
}

/** What rounding does to a shorter bone is no fault of its length. % of the skeleton's size. */
const LEAST_BONE = 1;
/** Of how far a bone's end is off, this share at least is its length. */
const ALONG = 0.9;
/** Lengths that are off alike to within this, as a share of the bone, were made in one go. */
const ALIKE = 0.01;

function isAlongBone({ length, wanted, off }: Bone): boolean {
  return Math.abs(length - wanted) >= ALONG * off;
}

function areAlike(a: Bone, b: Bone): boolean {
  const [one, other] = [a.length / a.wanted, b.length / b.wanted];
  return isAlongBone(a) && isAlongBone(b) && Math.abs(one - other) < ALIKE;
}

/** Whether what is said of one bone is true of another. */
function isOffAlike(a: Bone, b: Bone): boolean {
  const isSameWay = !isAlongBone(a) || a.length > a.wanted === b.length > b.wanted;
  return (
    isAlongBone(a) === isAlongBone(b) && isSameWay && Math.abs(a.percent - b.percent) < 100 * ALIKE
  );
}
