import { atJoint, type Finding, findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherAlike } from '../../src/kit/gather-alike.js';
import type { WithOthers } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import { type Alignment, alignment } from '../../src/measure/fit/alignment.js';
import { type Difference, differences } from '../../src/measure/fit/differences.js';
import { isMirrorImage } from '../../src/measure/fit/mirror-image.js';
import { against, limit, line, point } from '../parts.js';
import { areAlike, type End, lengthWords } from './length-words.js';
import { whyNotCompared } from './with-approved.js';

/** A hand that the clip lays on a knee lies beside it when the arm is longer. */
export const fitLength = rule({
  id: 'fit.length',
  level: 'warning',
  title: 'a bone that is longer, shorter or elsewhere than in the approved rig',
  why: 'Clips turn joints, and the bones carry the turns outwards. Where one bone is longer than the others ask for, hands miss what they hold and feet leave the ground.',
  formula:
    'How far a joint is in the bind pose from where the approved bone would put it, relative to the length of that bone. The approved bone is first made as large as this rig is (by the ratio of the skeletons) and turned as the parent is. So a rig that is taller as a whole fits. A bone shorter than 1 % of the skeleton is held to that length. Where several joints hang on no joint, as in a flat rig, no bone tells where they stand: each is held to its place in the approved skeleton, which is laid over this one as a whole, relative to size. Bones that are as much too long or too short as another, and left and right, have one finding.',
  remedy:
    'Move the joint to where the approved rig has it, with all that hangs on it and its skin.',
  source: 'common practice',
  limits: {
    length: limit(2, '% of bone', 'end of a bone away from where it belongs'),
    place: limit(1, '% of size', 'joint that hangs on no joint, away from where it belongs'),
  },
  onApproved: true,
  check(facts, limits) {
    const not = whyNotCompared(facts);
    if (not !== null) return not;
    const laid = alignment(facts);
    if (laid === null) return notApplicable('no joint can be laid over one of the approved rig');
    const ends = differences(facts).list.flatMap((difference) => endOf(difference, laid));
    if (ends.length === 0) return notApplicable('no bone is in both rigs');
    const findings = findingsOf(ends, (end): Finding<WithOthers<End>> | null => {
      const most = end.from === -1 ? limits.place : limits.length;
      if (!(end.percent > most)) return null;
      const [start, at] = [laid.rig.places[end.from], laid.rig.places[end.joint]];
      return {
        ...atJoint(end.joint),
        joints: end.from === -1 ? [end.joint] : [end.joint, end.from],
        level: 'warning',
        ...against(end.percent, most, end.from === -1 ? '% of size' : '% of bone'),
        evidence: [
          point('by the approved rig', end.place),
          ...(start && at ? [line('bone', [start, at])] : []),
        ],
        details: { worst: { ...end, mirror: isMirrorImage(facts) }, others: [] },
      };
    });
    return judged('joints', ends.length, findings);
  },
  // What is measured in another unit is not worse or better.
  gather: (facts, findings) =>
    [true, false].flatMap((alone) =>
      gatherAlike(
        facts,
        findings.filter(({ details }) => (details.worst.from === -1) === alone),
        areAlike,
      ),
    ),
  say: ({ details: { worst, others }, measured, limit }, words) =>
    lengthWords(worst, others, { measured, limit: limit ?? 0 }, words),
});

/** A shorter bone is held to this length: rounding is no fault of it. % of the skeleton's size. */
const LEAST_BONE = 1;

/** How far a joint is off, in percent of its bone, or of size where it hangs on none. */
function endOf(
  { joint, against: from, bone, stand }: Difference,
  laid: Alignment,
): Omit<End, 'mirror'>[] {
  const { scale, size } = laid;
  if (stand !== null)
    return size > 0
      ? [{ joint, from: -1, ...stand, ...NO_BONE, scale, percent: (100 * stand.off) / size }]
      : [];
  if (bone === null) return [];
  const whole = Math.max(bone.wanted, (LEAST_BONE / 100) * size);
  return whole > 0
    ? [{ joint, from, ...bone, whole, scale, percent: (100 * bone.off) / whole }]
    : [];
}

const NO_BONE = { length: 0, wanted: 0, whole: 0 };
