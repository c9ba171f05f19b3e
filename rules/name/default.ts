import { judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';

/**
 * Names that programs give by themselves: a bare noun for the thing itself, with or without a
 * number and a side. Nouns of the trade at large; a body part is never one of them.
 */
const BARE_NOUN =
  /^(bone|joint|node|object|null|empty|group|transform|locator|dummy|helper|item|element|limb|effector|skeleton|untitled|unnamed|default)[ ._-]*\d*([ ._-]+\d+)*([ ._-]*(l|r|left|right))?([ ._-]*\d+)?$/i;

/** No program gives a longer name by itself, and the pattern is slow on one. Letters. */
const LONGEST = 64;

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
      named[joint] === true && name.length <= LONGEST && BARE_NOUN.test(name.trim()) ? [joint] : [],
    );
    const first = bare[0];
    if (first === undefined || bare.length <= limits.joints)
      return judged<{ bare: number[] }>('joints', count, []);
    const finding = {
      level: 'warning' as const,
      place: { kind: 'joint' as const, joint: first },
      measured: bare.length,
      limit: limits.joints,
      unit: 'joints' as const,
      joints: bare,
      counts: { looked: count, short: bare.length },
      details: { bare },
    };
    return judged('joints', count, [finding], bare.length);
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
