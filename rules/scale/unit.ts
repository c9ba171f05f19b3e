import { type Finding, findingsOf, judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { holderSums } from '../../src/measure/pose/holder-sum.js';
import { type LocalScale, localScales } from '../../src/measure/pose/local-scale.js';
import { against, limit, scaledPlace, worstOf } from '../parts.js';

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
  limits: { scale: limit(0.1, '%', 'uniform scale away from 1') },
  check(facts, limits, limitOf) {
    const scales = localScales(facts);
    const evenTo = limitOf('scale.nonuniform', 'uneven');
    // Unequal factors belong to scale.nonuniform.
    const scaled = scales.filter(
      (node) => awayFromOne(node.mean) > limits.scale && node.uneven <= evenTo,
    );
    const chains = holderSums(facts).filter(({ scale }) => awayFromOne(scale) > limits.scale);
    const holding = new Set(chains.flatMap(({ nodes }) => nodes));
    const groups = [
      scaled.filter(({ role, node }) => role === 'holder' && holding.has(node)),
      scaled.filter(({ role }) => role !== 'holder'),
    ];
    const findings = findingsOf(groups, (group) => judgeGroup(group, limits.scale, scales.length));
    return judged('nodes', scales.length, findings, groups.flat().length);
  },
  say({ details: { node, role, mean, same, more }, limit }, words) {
    const others =
      more === 0
        ? ''
        : ` ${words.count(more, role === 'holder' ? 'more holder' : 'more node')} ${more === 1 ? 'is' : 'are'} scaled ${same ? 'by the same factor' : 'by less'}.`;
    return {
      message: `The ${role} ${words.node(node)} is ${mean > 0 ? `scaled by ${words.number(mean)}` : 'scaled to zero'} (limit ${limit} % away from 1).${others}`,
      remedy: 'Apply the scale to the mesh, the joints below and their clips, so that it is 1.',
    };
  },
});

/** In percent. */
function awayFromOne(scale: number): number {
  return 100 * Math.abs(scale - 1);
}

type Details = LocalScale & { readonly same: boolean; readonly more: number };

function judgeGroup(
  group: readonly LocalScale[],
  limit: number,
  looked: number,
): Finding<Details> | null {
  // How many times over or under 1, so that 0.01 counts as much as 100.
  const worst = worstOf(group, ({ mean }) => (mean > 0 ? Math.abs(Math.log(mean)) : Infinity));
  if (worst === undefined) return null;
  const isHolder = worst.role === 'holder';
  const same = group.every(({ mean }) => awayFromOne(mean / worst.mean) <= limit);
  return {
    level: isHolder ? 'note' : 'warning',
    place: scaledPlace(worst),
    places: group.map(scaledPlace),
    measures: group.map(({ mean }) => awayFromOne(mean)),
    aspect: isHolder ? 'holders' : 'joints',
    ...against(awayFromOne(worst.mean), limit, '%'),
    counts: { looked, short: group.length },
    details: { ...worst, same, more: group.length - 1 },
  };
}
