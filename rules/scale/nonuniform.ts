import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { localScales } from '../../src/measure/local-scale.js';
import { placeOf } from './place.js';

/** Unequal scale squashes everything below it, more with every turn. */
export const scaleNonuniform = rule({
  id: 'scale.nonuniform',
  level: 'error',
  title: 'unequal scale on a joint, spacer or holder',
  why: 'What hangs below an unequal scale is stretched along an axis that does not turn with it: limbs swell and shrink as they move.',
  formula: 'Largest over smallest factor of the stored local scale, less 1.',
  remedy: 'Apply the scale to the mesh and the joint places, so that every factor is 1.',
  source: 'common practice',
  limits: {
    uneven: { default: 0.1, unit: '%', tells: 'largest over smallest scale factor, less 1' },
  },
  check(facts, limits) {
    const scales = localScales(facts);
    const findings = scales.flatMap((item) => {
      if (item.uneven <= limits.uneven) return [];
      return [
        {
          level: 'error' as const,
          place: placeOf(item),
          measured: item.uneven,
          limit: limits.uneven,
          unit: '%' as const,
          details: item,
        },
      ];
    });
    return judged('nodes', scales.length, findings);
  },
  say(finding, words) {
    const { node, role, factors } = finding.details;
    return {
      message: `The ${role} ${words.node(node)} is scaled unequally, ${factors.map((part) => words.number(part)).join(' x ')}: ${words.percent(finding.measured)} between its axes (limit ${finding.limit} %).`,
      remedy: 'Apply the scale to the mesh and the joints below, so that every factor is 1.',
    };
  },
});
