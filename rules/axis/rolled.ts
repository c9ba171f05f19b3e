import { atJoints, type Finding, worstFinding } from '../../src/kit/finding.js';
import type { WithOthers, WithTwin } from '../../src/kit/gather-twins.js';
import type { Said } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { Axis } from '../../src/measure/facts.js';

interface Roll {
  readonly joint: number;
  readonly roll: number;
  /** The axes of the joint along its bone, and to the side that its segment shares. */
  readonly aim: Axis | null;
  readonly up: Axis;
  readonly neighbour: number | null;
}

export interface JointDetails extends WithTwin<Roll>, WithOthers<Roll> {
  readonly kind: 'joint';
  /** Whether the joint is where a limb begins or ends (girdle, hand, foot), or moves no skin: all of these are one finding. */
  readonly begins: boolean;
  /** Whether the roll alone would be an error. */
  readonly mild: boolean;
}

interface RandomDetails {
  readonly kind: 'rig';
  readonly joint: number;
  readonly joints: readonly number[];
  readonly looked: number;
}

export type RollDetails = JointDetails | RandomDetails;

export function isAtJoint(finding: Finding<RollDetails>): finding is Finding<JointDetails> {
  return finding.details.kind === 'joint';
}

/** So many rolled joints, and so large a share of all that were looked at, have one cause. */
const AT_RANDOM = 6;
const AT_RANDOM_SHARE = 0.4;

/** One finding, at the worst joint, for a rig whose joints are rolled every which way; else null. */
export function atRandom(
  findings: readonly Finding<JointDetails>[],
  looked: number,
): Finding<RandomDetails> | null {
  const worst = worstFinding(findings);
  if (worst === undefined || findings.length < Math.max(AT_RANDOM, AT_RANDOM_SHARE * looked))
    return null;
  const joints = findings.map(({ details }) => details.worst.joint);
  const { joint } = worst.details.worst;
  return {
    ...worst,
    ...atJoints(joints, joint),
    measures: findings.map(({ measured }) => measured),
    aspect: 'at random',
    limit: findings.reduce((low, { limit }) => Math.min(low, limit ?? 0), Infinity),
    details: { kind: 'rig', joint, joints, looked },
  };
}

/** The roll, and the turn that takes it back. Half a turn is the same either way round. */
function signed(roll: number): [roll: number, back: number] {
  return Math.abs(roll) > 179.9 ? [180, 180] : [roll, -roll];
}

/** Joints that a message names beside the worst. */
const NAMED = 5;

export function rollWords({ details, measured, limit }: Finding<RollDetails>, words: Words): Said {
  const bound = words.degrees(limit ?? 0);
  if (details.kind === 'rig') {
    const { joint, joints, looked } = details;
    return {
      message: `The frames are rolled at random: ${joints.length} of ${words.count(looked, 'joint')} are rolled against their segments by more than the limit of ${bound}. The worst is ${words.joint(joint)}, by ${words.degrees(measured)}.`,
      remedy:
        'Choose one up axis for each limb, and turn all its frames about their aim axes until they agree with it. Leave joints and mesh in place.',
    };
  }
  const { worst, twin, others, mild } = details;
  const { joint, aim, up, neighbour } = worst;
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
    .map((other) => `${words.joint(other.joint)} by ${words.degrees(signed(other.roll)[0])}`);
  const more = others.length > NAMED ? ` and ${others.length - NAMED} more` : '';
  const are = also.length === 1 ? 'another is' : 'others are';
  const so = also.length === 0 ? '' : `; ${are} ${also.join(', ')}${more}`;
  const both = also.length === 0 ? '' : ', and turn the others back by their own roll';
  return {
    message: `${words.joint(joint)} is rolled ${words.degrees(roll)} about its aim axis against its segment (limit ${bound}${capped})${so}.`,
    remedy: `Turn its frame by ${words.degrees(back)} about its aim axis${aim === null ? '' : ` ${words.axis(aim)}`} (right-handed)${like}${both}, leaving children and mesh in place.`,
  };
}
