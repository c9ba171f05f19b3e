import { judged, judgedAsOne } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { localScales } from '../../src/measure/pose/local-scale.js';
import { against, scaledPlace } from '../parts.js';

/** A mirrored frame turns the wrong way, and turns surfaces inside out. */
export const scaleNegative = rule({
  id: 'scale.negative',
  level: 'error',
  title: 'a mirroring local transform',
  why: 'Below a mirroring scale, every turn goes the other way and surfaces show their inside. Many programs cannot store such a scale at all.',
  formula:
    'The determinant of the stored local matrix of each joint, spacer and holder. A node with a determinant below zero mirrors. Each rig has one finding, at the first such node.',
  remedy: 'Mirror the mesh and the joints themselves, and keep every scale positive.',
  source:
    'glTF 2.0, 3.7.2.1 (a negative determinant reverses the winding); not to mirror rigs by scale: common practice',
  limits: {},
  check(facts) {
    const scales = localScales(facts);
    const mirroring = scales.filter(({ mirrors }) => mirrors);
    const [first] = mirroring;
    if (first === undefined) return judged('nodes', scales.length, []);
    return judgedAsOne('nodes', scales.length, {
      level: 'error',
      place: scaledPlace(first),
      places: mirroring.map(scaledPlace),
      ...against(Math.min(...first.factors), 0, 'times'),
      details: { ...first, more: mirroring.length - 1 },
    });
  },
  say({ details: { node, role, factors, more } }, words) {
    const others = more > 0 ? ` The same is true of ${words.count(more, 'more node')}.` : '';
    return {
      message: `The ${role} ${words.node(node)} mirrors what hangs below it: scale ${factors.map((part) => words.number(part)).join(' x ')} (limit: above 0).${others}`,
      remedy: 'Mirror the mesh and the joints themselves, and make every factor positive.',
    };
  },
});
