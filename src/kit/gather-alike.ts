import type { Facts } from '../measure/facts.js';
import { pairs } from '../measure/skeleton/pairs.js';
import { type Finding, jointPlaces, worstFinding } from './finding.js';
import type { OfJoint, WithOthers } from './gather-twins.js';
import { alone, type Gathered } from './rule.js';

/** Findings that stand for so many causes have one: the rig was built to other measures. */
const MOST_CAUSES = 8;

/**
 * Joins findings of one rule at joints that differ in the same way, or are left and right of one
 * another: one habit made them. Where there are very many ways, all are one.
 */
export function gatherAlike<T extends OfJoint, D extends WithOthers<T>>(
  facts: Facts,
  findings: readonly Finding<D>[],
  alike: (a: T, b: T) => boolean,
): Gathered<D>[] {
  const { partner } = pairs(facts);
  const groups: Finding<D>[][] = [];
  const ofJoint = new Map<number, Finding<D>[]>();
  for (const finding of findings) {
    const { worst } = finding.details;
    const group =
      ofJoint.get(partner[worst.joint] ?? -1) ??
      groups.find(([first]) => first !== undefined && alike(first.details.worst, worst));
    if (group !== undefined) group.push(finding);
    else groups.push([finding]);
    const joined = group ?? groups.at(-1);
    if (joined !== undefined) ofJoint.set(worst.joint, joined);
    if (groups.length > MOST_CAUSES) return join(findings);
  }
  return groups.flatMap((group) => join(group));
}

/** One finding for all, at the worst. */
function join<T extends OfJoint, D extends WithOthers<T>>(
  findings: readonly Finding<D>[],
): Gathered<D>[] {
  const worst = worstFinding(findings);
  const [first, second] = findings;
  if (worst === undefined || first === undefined) return [];
  if (second === undefined) return [alone(first)];
  const others = findings.filter((finding) => finding !== worst);
  const finding = {
    ...worst,
    places: jointPlaces(findings.map(({ details }) => details.worst.joint)),
    measures: findings.map(({ measured }) => measured),
    anchor: first.place,
    joints: [...new Set(findings.flatMap(({ joints }) => joints ?? []))],
    details: { ...worst.details, others: others.map(({ details }) => details.worst) },
  };
  return [{ finding, from: findings }];
}
