import type { Facts } from '../measure/facts.js';
import { pairs } from '../measure/pairs.js';
import { type Finding, jointPlaces, LEVELS } from './finding.js';
import { alone, type Gathered } from './rule.js';

/** What a finding needs for its twin to be told with it. */
export interface OfJoint {
  readonly joint: number;
}

/** Details of a finding at a joint, and those of its twin, if any. */
export interface WithTwin<T extends OfJoint> {
  readonly worst: T;
  readonly twin: T | null;
}

/** Twins as good as alike are told at the first of them: rounding must not choose. */
const ALIKE = 1 + 1e-6;

/**
 * Tells the like fault at the left and the right joint of a pair as one, at the worse of the two:
 * mirrored or not, both were made in one go.
 */
export function gatherTwins<T extends OfJoint>(
  facts: Facts,
  findings: readonly Finding<WithTwin<T>>[],
): Gathered<WithTwin<T>>[] {
  const { partner } = pairs(facts);
  const at = new Map(findings.map((finding) => [finding.details.worst.joint, finding]));
  return findings.flatMap((finding): Gathered<WithTwin<T>>[] => {
    const { joint } = finding.details.worst;
    const other = at.get(partner[joint] ?? -1);
    if (other === undefined || other === finding) return [alone(finding)];
    if (other.details.worst.joint < joint) return [];
    return [{ finding: joined(finding, other), from: [finding, other] }];
  });
}

function joined<T extends OfJoint>(
  first: Finding<WithTwin<T>>,
  second: Finding<WithTwin<T>>,
): Finding<WithTwin<T>> {
  const [worse, other] = isWorse(second, first) ? [second, first] : [first, second];
  const joints = [first, second].flatMap(({ joints: own, details }) => own ?? [details.worst.joint]);
  return {
    ...worse,
    places: jointPlaces([first.details.worst.joint, second.details.worst.joint]),
    joints,
    counts: {
      looked: (first.counts?.looked ?? 1) + (second.counts?.looked ?? 1),
      short: (first.counts?.short ?? 1) + (second.counts?.short ?? 1),
    },
    details: { worst: worse.details.worst, twin: other.details.worst },
  };
}

function isWorse<A>(a: Finding<A>, b: Finding<A>): boolean {
  const [levelA, levelB] = [LEVELS.indexOf(a.level), LEVELS.indexOf(b.level)];
  return levelA === levelB ? a.measured > b.measured * ALIKE : levelA < levelB;
}
