import type { Facts } from '../measure/facts.js';
import { pairs } from '../measure/skeleton/pairs.js';
import { type Finding, isWorse, jointPlaces, worstFinding } from './finding.js';
import { alone, type Gathered } from './rule.js';

/** The least that a finding's details have for it to be gathered with others. */
export interface OfJoint {
  readonly joint: number;
}

/** Details of a finding at a joint, and those of its twin, if any. */
export interface WithTwin<T extends OfJoint> {
  readonly worst: T;
  readonly twin: T | null;
}

/** Joins the findings at both joints of a pair, at the worse: both faults were made in one go. */
export function gatherTwins<D extends WithTwin<OfJoint>>(
  facts: Facts,
  findings: readonly Finding<D>[],
): Gathered<D>[] {
  const { partner } = pairs(facts);
  const byJoint = new Map(findings.map((finding) => [finding.details.worst.joint, finding]));
  return findings.flatMap((first): Gathered<D>[] => {
    const { joint } = first.details.worst;
    const second = byJoint.get(partner[joint] ?? -1);
    if (second === undefined || second === first) return [alone(first)];
    const twinJoint = second.details.worst.joint;
    if (twinJoint < joint) return [];
    const [worse, other] = isWorse(second, first) ? [second, first] : [first, second];
    const finding = {
      ...worse,
      places: jointPlaces([joint, twinJoint]),
      measures: [first.measured, second.measured],
      anchor: first.place,
      joints: [...(first.joints ?? [joint]), ...(second.joints ?? [twinJoint])],
      details: { ...worse.details, twin: other.details.worst },
    };
    return [{ finding, from: [first, second] }];
  });
}

/** Details of the worst finding of a rig, and those of all others of the same rule. */
export interface WithOthers<T extends OfJoint> {
  readonly worst: T;
  readonly others: readonly T[];
}

/** Joins all findings of a rule in a rig, at the worst: they were made in one go, by one habit. */
export function gatherRig<D extends WithOthers<OfJoint>>(
  findings: readonly Finding<D>[],
): Gathered<D>[] {
  const worst = worstFinding(findings);
  if (worst === undefined) return [];
  const others = findings.filter((finding) => finding !== worst);
  const finding = {
    ...worst,
    places: jointPlaces(findings.map(({ details }) => details.worst.joint)),
    measures: findings.map(({ measured }) => measured),
    joints: [...new Set(findings.flatMap(({ joints }) => joints ?? []))],
    details: { ...worst.details, others: others.map(({ details }) => details.worst) },
  };
  return [{ finding, from: findings }];
}
