import { atJoints, findingsOf, judged, type Level, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { followsPattern } from '../../src/measure/names/name-pattern.js';
import { isEndTip, type NamedSide, sideStyles } from '../../src/measure/names/sides.js';
import { pairs } from '../../src/measure/skeleton/pairs.js';
import { swappedSides } from '../../src/measure/skeleton/swapped-sides.js';
import { type SideDetails, sayOfSides } from './side-words.js';

/** Sides named one way and for the side they are on, each with its partner: mirroring by name works. */
export const nameSide = rule({
  id: 'name.side',
  level: 'error',
  milder: 'note',
  title: 'sides swapped, named in two ways, or without a partner',
  why: 'Mirroring and retargeting find a side by its name. Where left and right are swapped within a body, one arm plays the motion of the other. A side that is named in a second way, or that has no partner, is skipped without a message.',
  formula:
    'Sides are read from names (L/R or left/right as a part of the name). Two kinds of joints are swapped. One kind hangs below a limb of the other side and also lies on that side, nearer to the limb than to its partner (a warning). The other kind is a limb whose left joints lie at the end of X where the right joints of most limbs lie, by over 2 % of size. Where equal numbers lie each way, the limbs that disagree with the direction the asset faces are swapped. (An error for a limb of three joints or more, else a warning.) A note is given for joints that do not name their side as the standard asks or, without a standard, as most joints do. A note is also given for joints with a side in their name that have no partner by mapping, name or place. An end joint called _end or _tip takes the side of its parent. Each rig has one finding of each kind.',
  remedy:
    'Name each joint for the side where it is, write all sides in one way, and give every such joint a partner.',
  source: 'common practice',
  limits: {
    joints: { default: 0, unit: 'joints', tells: 'joints that break the naming of sides' },
  },
  check(facts, limits) {
    const { named, partner } = pairs(facts);
    const sided = named.flatMap((item, joint) => (item === null ? [] : [{ joint, item }]));
    const { joints } = facts.rig;
    if (sided.length === 0) return notApplicable('no names of the rig tell sides');
    const lonely = sided.flatMap(({ joint, item }) =>
      partner[joint] === -1 && item.apart && !isEndTip(joints, joint) ? [joint] : [],
    );
    const otherwise = spelledOtherwise(facts, sided);
    const odd =
      otherwise.kind === 'styles'
        ? otherwise.other.flatMap((group) => group.joints)
        : otherwise.joints;
    const { hung, limbs, whole } = swappedSides(facts);
    const found: (readonly [Level, SideDetails, readonly number[]])[] = [
      ['warning', { kind: 'hung', joints: hung }, hung],
      [whole ? 'error' : 'warning', { kind: 'limb', joints: limbs }, limbs],
      ['note', otherwise, odd],
      ['note', { kind: 'partner', joints: lonely }, lonely],
    ];
    const findings = findingsOf(found, ([level, details, joints]) => {
      if (joints.length <= limits.joints) return null;
      return {
        ...atJoints([...joints].sort((a, b) => a - b)),
        level,
        measured: joints.length,
        limit: limits.joints,
        unit: 'joints',
        aspect: details.kind,
        counts: { looked: sided.length, short: joints.length },
        details,
      };
    });
    const all = new Set(found.flatMap(([, , joints]) => joints));
    return judged('joints', sided.length, findings, all.size);
  },
  say: sayOfSides,
});

/** The joints whose side is told otherwise than the standard, else most of the rig, tells it. */
function spelledOtherwise(
  { rig, wanted: { names } }: Facts,
  sided: readonly { joint: number; item: NamedSide }[],
): Extract<SideDetails, { kind: 'styles' | 'standard' }> {
  if (names === undefined) {
    const spelt = sided.filter(({ joint }) => !isEndTip(rig.joints, joint));
    return { kind: 'styles', ...sideStyles(spelt) };
  }
  const joints = sided.flatMap(({ joint }) =>
    followsPattern(names, rig.joints.names[joint] ?? '') ? [] : [joint],
  );
  const sides = `${names.sides.left}/${names.sides.right}`;
  return { kind: 'standard', pattern: names.text, sides, joints };
}
