import { atJoints, judged, judgedAsOne } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { against, limit, mostWords } from '../parts.js';

/** A joint without a name cannot be asked for, retargeted or discussed. */
export const nameMissing = rule({
  id: 'name.missing',
  level: 'warning',
  title: 'joints without a name',
  why: 'Clips, sockets and retargeting find joints by name. Without one, programs invent names that change with every import.',
  formula:
    'Joints whose node has no name, or only white space as its name. Each rig has one finding.',
  remedy: 'Name every joint after its part of the body.',
  source: 'common practice; names are optional in glTF 2.0',
  limits: { joints: limit(0, 'joints', 'joints without a name') },
  check(facts, limits) {
    const { named, count } = facts.rig.joints;
    const missing = named.flatMap((given, joint) => (given ? [] : [joint]));
    if (missing.length <= limits.joints) return judged('joints', count, []);
    return judgedAsOne('joints', count, {
      ...atJoints(missing),
      level: 'warning',
      ...against(missing.length, limits.joints, 'joints'),
      details: { looked: count },
    });
  },
  say: ({ measured, details: { looked }, limit }, words) => ({
    message: `${measured} of ${words.count(looked, 'joint')} ${measured === 1 ? 'has' : 'have'} no name (${mostWords(limit)}).`,
    remedy: 'Name every joint after its part of the body, with its side.',
  }),
});
