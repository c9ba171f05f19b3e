import { atJoints, type Finding, worstFinding } from '../../src/kit/finding.js';
import type { WithOthers, WithTwin } from '../../src/kit/gather-twins.js';
import type { Said } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { Axis } from '../../src/measure/facts.js';

/** Joints that a message names beside the worst. */
const NAMED = 5;

interface Roll {
  readonly joint: number;
  readonly roll: number;
  readonly up: Axis;
  readonly neighbour: number | null;
}

export interface JointDetails extends WithTwin<Roll>, WithOthers<Roll> {
  readonly kind: 'joint';
  /** Whether the joint is where a limb begins or ends (girdle, hand, foot), or moves no skin: told as one. */
  readonly begins: boolean;
  /** Whether the roll alone would be an error. */
  readonly mild: boolean;
}

/** What a finding of `axis.up` is made of. */
export type RollDetails =
  | JointDetails
  | {
      readonly kind: 'rig';
      readonly joint: number;
      readonly joints: readonly number[];
      readonly looked: number;
    };

export function isAtJoint(finding: Finding<RollDetails>): finding is Finding<JointDetails> {
  return finding.details.kind === 'joint';
}

/** The roll, and the turn that takes it back. Half a turn is the same either way round. */
function signed(roll: number): [roll: number, back: number] {
  return Math.abs(roll) > 179.9 ? [180, 180] : [roll, -roll];
}

/** So many rolled joints, and so large a share of all that were looked at, have one cause. */
const AT_RANDOM = 6;
const AT_RANDOM_SHARE = 0.4;

/** Whether so many of the joints looked at are rolled that one cause is likelier than many. */
export function areRandom(findings: readonly unknown[], looked: number): boolean {
  return findings.length >= AT_RANDOM && findings.length >= AT_RANDOM_SHARE * looked;
}

/** One finding for a rig whose joints are rolled every which way, at the worst of them. */
export function atRandom(
  findings: readonly Finding<JointDetails>[],
  looked: number,
): Finding<RollDetails> {
  const joints = findings.map(({ details }) => details.worst.joint);
  const worst = worstFinding(findings);
  const joint = worst?.details.worst.joint ?? 0;
  return {
    ...atJoints(joints, joint),
    level: worst?.level ?? 'warning',
    measures: findings.map((item) => item.measured),
    aspect: 'at random',
    measured: worst?.measured ?? 0,
    limit: findings.reduce((low, { limit }) => Math.min(low, limit ?? 0), Infinity),
    unit: 'degrees',
    counts: { looked, short: joints.length },
    evidence: worst?.evidence ?? [],
    details: { kind: 'rig', joint, joints, looked },
  };
}

/** Measure, limit and remedy of a roll, of several told as one, or of a rig rolled at random. */
export function sayRoll(finding: Finding<RollDetails>, words: Words): Said {
  const { details } = finding;
  if (details.kind === 'rig') {
    const { joint, joints, looked } = details;
    return {
      message: `The frames are rolled at random: ${joints.length} of ${words.count(looked, 'joint')} are rolled against their segments by more than the limit of ${words.degrees(finding.limit ?? 0)}. The worst is ${words.joint(joint)}, by ${words.degrees(finding.measured)}.`,
      remedy:
        'Choose one up axis for each limb, and turn all its frames about their aim axes until they agree with it. Leave joints and mesh in place.',
    };
  }
  const { worst, twin, others, mild } = details;
  const { joint, up, neighbour } = worst;
  const capped = mild
    ? '; joints of the shoulders and hips, joints that branch, feet and joints without skin count for less'
    : '';
  const like =
    neighbour === null
      ? ''
      : ` so that ${words.axis(up)} agrees with that of ${words.joint(neighbour)}`;
  const [roll, back] = signed(worst.roll);
  const also = [...others, ...(twin === null ? [] : [twin])]
    .slice(0, NAMED)
    .map((item) => `${words.joint(item.joint)} by ${words.degrees(signed(item.roll)[0])}`);
  const more = others.length > NAMED ? ` and ${others.length - NAMED} more` : '';
  const so =
    also.length === 0
      ? ''
      : `; ${also.length === 1 ? 'another is' : 'others are'} ${also.join(', ')}${more}`;
  const both = also.length === 0 ? '' : ', and turn the others back by their own roll';
  return {
    message: `${words.joint(joint)} is rolled ${words.degrees(roll)} about its aim axis against its segment (limit ${words.degrees(finding.limit ?? 0)}${capped})${so}.`,
    remedy: `Turn its frame by ${words.degrees(back)} about the aim axis (right-handed)${like}${both}, leaving children and mesh in place.`,
  };
}
