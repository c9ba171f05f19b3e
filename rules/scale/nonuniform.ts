import { judged, judgedAsOne } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { localScales } from '../../src/measure/pose/local-scale.js';
import { placeOf, worstOf } from './place.js';

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
    uneven: {
      default: 0.1,
      unit: '%',
      tells: 'largest scale factor divided by smallest, minus 1: a warning from here',
    },
    error: {
      default: 5,
      unit: '%',
      tells: 'largest scale factor divided by smallest, minus 1: an error from here',
    },
  },
  check(facts, limits) {
    const scales = localScales(facts);
    const uneven = scales.filter((item) => item.uneven > limits.uneven);
    const worst = worstOf(uneven, (item) => item.uneven);
    if (worst === undefined) return judged('nodes', scales.length, []);
    const isSerious = worst.uneven > limits.error;
    const limit = isSerious ? limits.error : limits.uneven;
    const short = uneven.filter((item) => item.uneven > limit).length;
    return judgedAsOne('nodes', scales.length, {
      level: isSerious ? 'error' : 'warning',
      place: placeOf(worst),
      places: uneven.map(placeOf),
      measures: uneven.map((item) => item.uneven),
      measured: worst.uneven,
      limit,
      unit: '%',
      counts: { looked: scales.length, short },
      details: { ...worst, more: uneven.length - 1 },
    });
  },
  say(finding, words) {
    const { node, role, factors, more } = finding.details;
    const by = Number.isFinite(finding.measured)
      ? `${words.percent(finding.measured)} between its axes`
      : 'flat along an axis';
    const others = more > 0 ? ` The same is true of ${words.count(more, 'more node')}.` : '';
    return {
      message: `The ${role} ${words.node(node)} is scaled unequally, ${factors.map((part) => words.number(part)).join(' x ')}: ${by} (limit ${finding.limit} %).${others}`,
      remedy: 'Apply the scale to the mesh and the joints below, so that every factor is 1.',
    };
  },
});
