import { atJoints, judged, judgedAsOne } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { fitsPattern } from '../../src/measure/contract.js';
import { against } from '../parts.js';
import { asksFor, quoted } from './texts.js';

/** Controls, helpers and leftovers that a house does not take. */
export const houseForbidden = rule({
  id: 'house.forbidden',
  level: 'error',
  title: 'joints with names that the standard forbids',
  why: 'Controls and helper joints belong to the scene that the rig was made in. In a delivery they cost time, and tools take them for bones.',
  formula: 'Joints whose name fits a name or pattern of the contract. Each rig has one finding.',
  remedy: 'Leave these joints out of the export, or rename those that belong to the body.',
  source: 'common practice',
  limits: {},
  isAsked: ({ contract }) => asksFor(contract?.joints?.forbidden),
  check({ rig, wanted }) {
    const forbidden = wanted.contract?.joints?.forbidden ?? [];
    const { names, named, count } = rig.joints;
    const fitted = new Set<string>();
    const joints = names.flatMap((name, joint) => {
      const pattern =
        named[joint] === true ? forbidden.find((each) => fitsPattern(each, name)) : undefined;
      if (pattern !== undefined) fitted.add(pattern.text);
      return pattern === undefined ? [] : [joint];
    });
    if (joints.length === 0) return judged('joints', count, []);
    return judgedAsOne('joints', count, {
      ...atJoints(joints),
      level: 'error',
      ...against(joints.length, 0, 'joints'),
      counts: { looked: count, short: joints.length },
      details: { joints, patterns: [...fitted] },
    });
  },
  say: ({ measured, details: { joints, patterns } }, words) => ({
    message: `${words.count(measured, 'joint')} ${measured === 1 ? 'has a name' : 'have names'} that the standard forbids by ${quoted(patterns)} (limit 0): ${words.joints(joints)}.`,
    remedy: 'Leave these joints out of the export, or rename those that belong to the body.',
  }),
});
