import { atJoint, atJoints, type Finding, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { followsWhole } from '../../src/measure/names/whole-pattern.js';
import { against } from '../parts.js';

interface Details {
  readonly pattern: string;
  readonly digits: number;
  readonly joints: readonly number[];
}

/** A house that has its tools read names needs all of a name made alike, and not its side alone. */
export const houseNames = rule({
  id: 'house.names',
  level: 'warning',
  title: 'names that are not made by the pattern of the standard',
  why: 'Tools of the house read the part, the number and the side from a name. They miss a joint that is named in another way.',
  formula:
    'Names are taken apart by the pattern of the standard. A name does not follow it when its side or number is in another place, has another separator or too few digits, or when the rest does not begin and end with a letter. Joints without a name, with a name that a program gave, or whose side name.side tells of, are left to those rules. Each rig has one finding.',
  remedy: 'Write the name, number and side as the pattern of the standard has them.',
  source: 'common practice',
  limits: {},
  // One name is at fault once: what the rules of names say of it is more.
  yieldsTo: [{ to: ['name.default', 'name.side'], on: 'joints' }],
  isAsked: ({ contract, names }) => contract?.allNames === true && names !== undefined,
  check({ rig: { joints }, wanted: { names: pattern } }) {
    if (pattern === undefined) return notApplicable('the standard has no pattern of names');
    const { text, digits } = pattern;
    const off = joints.names.flatMap((name, joint) =>
      joints.named[joint] === true && !followsWhole(pattern, name) ? [joint] : [],
    );
    const findings = off.map((joint): Finding<Details> => {
      const details = { pattern: text, digits, joints: [joint] };
      const counts = { looked: joints.count, short: 1 };
      return { level: 'warning', ...atJoint(joint), ...against(1, 0, 'joints'), counts, details };
    });
    return judged('joints', joints.count, findings);
  },
  gather(_, findings) {
    const [first] = findings;
    if (first === undefined) return [];
    const joints = findings.flatMap(({ details }) => details.joints);
    const finding = {
      ...first,
      ...atJoints(joints),
      measured: joints.length,
      counts: { looked: first.counts?.looked ?? joints.length, short: joints.length },
      details: { ...first.details, joints },
    };
    return [{ finding, from: findings }];
  },
  say: ({ measured, details: { pattern, digits, joints } }, words) => ({
    message: `${words.count(measured, 'name')} ${measured === 1 ? 'does' : 'do'} not follow the pattern of the standard, "${pattern}"${digits > 1 ? ` with at least ${digits} digits` : ''} (limit 0): ${words.joints(joints)}.`,
    remedy: 'Write the name, number and side as the pattern has them.',
  }),
});
