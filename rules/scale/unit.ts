import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { localScales } from '../../src/measure/local-scale.js';
import { placeOf } from './place.js';

/** A scale hidden in the hierarchy changes the meaning of every number below it. */
export const scaleUnit = rule({
  id: 'scale.unit',
  level: 'warning',
  milder: 'note',
  title: 'uniform scale other than 1',
  why: 'Below a scale, a metre is no metre: props that are attached grow or shrink, and distances keyed on one rig do not fit another.',
  formula:
    'Geometric mean of the stored local scale factors, away from 1. A joint or spacer gives a warning, a holder a note.',
  remedy: 'Apply the scale to the mesh, the joint places and the clips, so that it is 1.',
  source: 'common practice',
  limits: { scale: { default: 0.1, unit: '%', tells: 'uniform scale away from 1' } },
  check(facts, limits) {
    const scales = localScales(facts);
    const findings = scales.flatMap((item) => {
      // Unequal factors are told by scale.nonuniform.
      const percent = 100 * Math.abs(item.mean - 1);
      if (percent <= limits.scale || item.uneven > 0.1) return [];
      return [
        {
          level: item.role === 'holder' ? ('note' as const) : ('warning' as const),
          place: placeOf(item),
          measured: percent,
          limit: limits.scale,
          unit: '%' as const,
          details: item,
        },
      ];
    });
    return judged('nodes', scales.length, findings);
  },
  say(finding, words) {
    const { node, role, mean } = finding.details;
    return {
      message: `The ${role} ${words.node(node)} is scaled by ${words.number(mean)}, ${words.percent(finding.measured)} away from 1 (limit ${finding.limit} %).`,
      remedy: 'Apply the scale to the mesh, the joints below and their clips, so that it is 1.',
    };
  },
});
