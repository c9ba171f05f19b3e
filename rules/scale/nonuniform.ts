import { judged, judgedAsOne } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { localScales } from '../../src/measure/pose/local-scale.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, scaledPlace, worstOf } from '../parts.js';

/** Unequal scale squashes everything below it, more with every turn. */
export const scaleNonuniform = rule({
  id: 'scale.nonuniform',
  level: 'error',
  milder: 'warning',
  title: 'unequal scale on a joint, spacer or holder',
  why: 'What hangs below an unequal scale is stretched along an axis that does not turn with it. Limbs get thicker and thinner as they move.',
  formula:
    'The largest factor of the stored local scale divided by the smallest, minus 1. The finding is a warning from the first limit and an error from the second. Each rig has one finding, at its worst node.',
  remedy: 'Apply the scale to the mesh and the joint places, so that every factor is 1.',
  source: 'common practice',
  limits: {
    uneven: limit(
      0.1,
      '%',
      'largest scale factor divided by smallest, minus 1: a warning from here',
    ),
    error: limit(5, '%', 'largest scale factor divided by smallest, minus 1: an error from here'),
  },
  check(facts, limits) {
    const scales = localScales(facts);
    const found = scales.filter(({ uneven }) => uneven > limits.uneven);
    const worst = worstOf(found, ({ uneven }) => uneven);
    if (worst === undefined) return judged('nodes', scales.length, []);
    const isSerious = worst.uneven > limits.error;
    const limit = isSerious ? limits.error : limits.uneven;
    const short = found.filter(({ uneven }) => uneven > limit).length;
    return judgedAsOne('nodes', scales.length, {
      level: isSerious ? 'error' : 'warning',
      place: scaledPlace(worst),
      places: found.map(scaledPlace),
      measures: found.map(({ uneven }) => uneven),
      ...against(worst.uneven, limit, '%'),
      counts: { looked: scales.length, short },
      details: {
        ...worst,
        more: found.length - 1,
        isLoose: found.every(({ joint, node }) => hangsNothing(facts, joint, node)),
      },
    });
  },
  say({ details: { node, role, factors, more, isLoose }, measured, limit }, words) {
    const by = Number.isFinite(measured)
      ? `${words.percent(measured)} between its axes`
      : 'flat along an axis';
    const others = more > 0 ? ` The same is true of ${words.count(more, 'more node')}.` : '';
    return {
      message: `The ${role} ${words.node(node)} is scaled unequally, ${factors.map((part) => words.number(part)).join(' x ')}: ${by} (limit ${limit} %).${others}`,
      remedy: isLoose
        ? 'Set every factor to 1: nothing else depends on it.'
        : 'Apply the scale to the mesh and the joints below, so that every factor is 1.',
    };
  },
});

/** Whether a joint moves no skin and carries nothing, so that its scale shows nowhere. */
function hangsNothing(facts: Facts, joint: number, node: number): boolean {
  const { nodes } = facts.rig;
  const { hasMesh, moves } = skinMass(facts);
  return joint !== -1 && hasMesh && moves[joint] === 0 && nodes.children[node]?.length === 0;
}
