import { type Finding, findingsOf, judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { holderSums } from '../../src/measure/pose/holder-sum.js';
import { type LocalScale, localScales } from '../../src/measure/pose/local-scale.js';
import { placeOf, worstOf } from './place.js';

/** A scale hidden in the hierarchy changes the meaning of every number below it. */
export const scaleUnit = rule({
  id: 'scale.unit',
  level: 'warning',
  milder: 'note',
  title: 'uniform scale other than 1',
  why: 'Below a scale, a metre is not a metre. Props that are attached grow or shrink, and distances that are keyed on one rig do not fit another.',
  formula:
    'How far the geometric mean of the stored local scale factors is from 1. The joints and spacers of a rig give one warning, its holders one note, each at the worst node. The scales of holders are multiplied and count together.',
  remedy: 'Apply the scale to the mesh, the joint places and the clips, so that it is 1.',
  source: 'common practice',
  limits: { scale: { default: 0.1, unit: '%', tells: 'uniform scale away from 1' } },
  check(facts, limits, limitOf) {
    const scales = localScales(facts);
    const evenTo = limitOf('scale.nonuniform', 'uneven');
    // Unequal factors are told by scale.nonuniform.
    const scaled = scales.filter(
      (item) => awayFromOne(item) > limits.scale && item.uneven <= evenTo,
    );
    const holding = new Set(
      holderSums(facts)
        .filter(({ scale }) => 100 * Math.abs(scale - 1) > limits.scale)
        .flatMap(({ nodes }) => nodes),
    );
    const groups = [
      scaled.filter(({ role, node }) => role === 'holder' && holding.has(node)),
      scaled.filter(({ role }) => role !== 'holder'),
    ];
    const findings = findingsOf(groups, (group) => found(group, limits.scale, scales.length));
    const short = groups.reduce((sum, group) => sum + group.length, 0);
    return judged('nodes', scales.length, findings, short);
  },
  say(finding, words) {
    const { node, role, mean, same, more } = finding.details;
    const others =
      more === 0
        ? ''
        : ` ${words.count(more, role === 'holder' ? 'more holder' : 'more node')} ${more === 1 ? 'is' : 'are'} scaled ${same ? 'by the same factor' : 'by less'}.`;
    return {
      message: `The ${role} ${words.node(node)} is ${mean > 0 ? `scaled by ${words.number(mean)}` : 'scaled to zero'} (limit ${finding.limit} % away from 1).${others}`,
      remedy: 'Apply the scale to the mesh, the joints below and their clips, so that it is 1.',
    };
  },
});

/** In percent. */
function awayFromOne({ mean }: LocalScale): number {
  return 100 * Math.abs(mean - 1);
}

/** How many times over or under 1, so that 0.01 counts as much as 100. */
function strength({ mean }: LocalScale): number {
  return mean > 0 ? Math.abs(Math.log(mean)) : Infinity;
}

interface Details extends LocalScale {
  readonly same: boolean;
  readonly more: number;
}

function found(
  group: readonly LocalScale[],
  limit: number,
  looked: number,
): Finding<Details> | null {
  const worst = worstOf(group, strength);
  if (worst === undefined) return null;
  const same = group.every((item) => 100 * Math.abs(item.mean / worst.mean - 1) <= limit);
  return {
    level: worst.role === 'holder' ? 'note' : 'warning',
    place: placeOf(worst),
    places: group.map(placeOf),
    measures: group.map(awayFromOne),
    aspect: worst.role === 'holder' ? 'holders' : 'joints',
    measured: awayFromOne(worst),
    limit,
    unit: '%',
    counts: { looked, short: group.length },
    details: { ...worst, same, more: group.length - 1 },
  };
}
