import { atJoints, judged, judgedAsOne } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { isDefaultName } from '../../src/measure/names/default-name.js';
import { against, limit, mostWords } from '../parts.js';

/** A joint still called by the name it was made with says nothing about the body. */
export const nameDefault = rule({
  id: 'name.default',
  level: 'warning',
  title: 'joints that still have the name a program gave them',
  why: 'Nobody can know what "joint 12" moves, and the next export may give it another number.',
  formula:
    'Names that are only a word for a joint or node (bone, joint, node, object, ...), with or without a number. Each rig has one finding.',
  remedy: 'Name each joint after its part of the body.',
  source: 'common practice',
  limits: { joints: limit(0, 'joints', 'joints with such a name') },
  check(facts, limits) {
    const { names, named, count } = facts.rig.joints;
    const bare = names.flatMap((name, joint) =>
      named[joint] === true && isDefaultName(name) ? [joint] : [],
    );
    if (bare.length <= limits.joints) return judged('joints', count, []);
    return judgedAsOne('joints', count, {
      ...atJoints(bare),
      level: 'warning',
      ...against(bare.length, limits.joints, 'joints'),
      details: { bare, looked: count },
    });
  },
  say: ({ measured, details: { bare, looked }, limit }, words) => ({
    message: `${measured} of ${words.count(looked, 'joint')} ${measured === 1 ? 'has' : 'have'} a name that a program gave (${mostWords(limit)}): ${words.joints(bare)}.`,
    remedy: 'Name each after its part of the body, with its side.',
  }),
});
