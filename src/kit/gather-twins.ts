import type { Facts } from '../measure/facts.js';
import { pairs } from '../measure/skeleton/pairs.js';
import { type Finding, isWorse, jointPlaces, worstFinding } from './finding.js';
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

/**
 * Tells the like fault at the left and the right joint of a pair as one, at the worse of the two:
 * mirrored or not, both were made in one go.
 */
export function gatherTwins<D extends WithTwin<OfJoint>>(
  facts: Facts,
  findings: readonly Finding<D>[],
): Gathered<D>[] {
  const { partner } = pairs(facts);
  const at = new Map(findings.map((finding) => [finding.details.worst.joint, finding]));
  return findings.flatMap((finding): Gathered<D>[] => {
    const { joint } = finding.details.worst;
    const other = at.get(partner[joint] ?? -1);
    if (other === undefined || other === finding) return [alone(finding)];
    if (other.details.worst.joint < joint) return [];
    return [{ finding: joined(finding, other), from: [finding, other] }];
  });
}

function joined<D extends WithTwin<OfJoint>>(first: Finding<D>, second: Finding<D>): Finding<D> {
  const [worse, other] = isWorse(second, first) ? [second, first] : [first, second];
  const joints = [first, second].flatMap(
    ({ joints: own, details }) => own ?? [details.worst.joint],
  );
  return {
    ...worse,
    places: jointPlaces([first.details.worst.joint, second.details.worst.joint]),
    measures: [first.measured, second.measured],
    anchor: first.place,
    joints,
    details: { ...worse.details, twin: other.details.worst },
  };
}

/** Details of the worst finding of a rig, and those of all others of the same rule. */
export interface WithOthers<T extends OfJoint> {
  readonly worst: T;
  readonly others: readonly T[];
}

/** Tells all findings of a rule in a rig as one, at the worst: they were made in one go, by one habit. */
export function gatherRig<D extends WithOthers<OfJoint>>(
  findings: readonly Finding<D>[],
): Gathered<D>[] {
  const worst = worstFinding(findings);
  if (worst === undefined) return [];
  const others = findings.filter((item) => item !== worst).map(({ details }) => details.worst);
  const own = findings.map(({ details }) => details.worst.joint);
  const finding = {
    ...worst,
    places: jointPlaces(own),
    measures: findings.map(({ measured }) => measured),
    joints: [...new Set(findings.flatMap(({ joints }) => joints ?? []))],
    details: { ...worst.details, others },
  };
  return [{ finding, from: findings }];
}
