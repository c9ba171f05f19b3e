import { atJoints, judged, judgedAsOne } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { isDefaultName } from '../../src/measure/names/default-name.js';

/** A joint still called by the name it was made with says nothing about the body. */
export const nameDefault = rule({
  id: 'name.default',
  level: 'warning',
  title: 'joints with a name a program gave by itself',
  why: 'Nobody can tell what "joint 12" moves, and the next export may number it otherwise.',
  formula:
    'Names that are a bare noun for a joint or node (bone, joint, node, object, ...) with or without a number. One finding a rig.',
  remedy: 'Name the joints for what they are in the body.',
  source: 'common practice',
  limits: { joints: { default: 0, unit: 'joints', tells: 'joints with such a name' } },
  check(facts, limits) {
    const { names, named, count } = facts.rig.joints;
    const bare = names.flatMap((name, joint) =>
      named[joint] === true && isDefaultName(name) ? [joint] : [],
    );
    if (bare.length <= limits.joints) return judged('joints', count, []);
    return judgedAsOne('joints', count, {
      ...atJoints(bare),
      level: 'warning',
      measured: bare.length,
      limit: limits.joints,
      unit: 'joints',
      counts: { looked: count, short: bare.length },
      details: { bare },
    });
  },
  say(finding, words) {
    const { bare } = finding.details;
    const looked = finding.counts?.looked ?? bare.length;
    return {
      message: `${bare.length} of ${words.count(looked, 'joint')} bear a name that a program gave by itself (limit ${finding.limit}): ${words.joints(bare)}.`,
      remedy: 'Name them for what they are in the body, with their side.',
    };
  },
});
