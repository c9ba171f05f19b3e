import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { followsPattern } from '../../src/measure/name-pattern.js';
import { pairs } from '../../src/measure/pairs.js';
import { type SideStyles, sideStyles } from '../../src/measure/side-styles.js';
import type { NamedSide, SideStyle } from '../../src/measure/sides.js';

const STYLE_WORDS: Readonly<Record<SideStyle, string>> = {
  'word-first': 'left/right at the front',
  'word-last': 'left/right at the end',
  'word-within': 'left/right within the name',
  'letter-first': 'L/R at the front',
  'letter-last': 'L/R at the end',
  'letter-within': 'L/R within the name',
};

type Details =
  | ({ readonly kind: 'styles' } & SideStyles)
  | {
      readonly kind: 'standard';
      /** As the standard writes them. */
      readonly pattern: string;
      readonly sides: string;
      readonly joints: readonly number[];
    }
  | { readonly kind: 'partner'; readonly joints: readonly number[] };

/** Sides named one way, each with its partner: mirroring by name works. */
export const nameSide = rule({
  id: 'name.side',
  level: 'note',
  title: 'sides named in two ways, or a side without a partner',
  why: 'Mirroring finds the other side by its name. A second way of naming sides, or a missing partner, is passed over in silence.',
  formula:
    'Sides are read from names (L/R or left/right as a part of the name). Told are joints that name their side otherwise than the standard has it, or than most where it has nothing, and joints whose name tells a side that has no partner, by mapping, name or place. One finding of each kind a rig.',
  remedy: 'Name sides one way throughout, and pair every sided joint.',
  source: 'common practice',
  limits: {
    joints: { default: 0, unit: 'joints', tells: 'joints that break the naming of sides' },
  },
  check(facts, limits) {
    const { named, partner } = pairs(facts);
    const sided = named.flatMap((item, joint) => (item === null ? [] : [{ joint, item }]));
    if (sided.length === 0) return notApplicable('no names of the rig tell sides');
    const lonely = sided.flatMap(({ joint, item }) =>
      partner[joint] === -1 && item.apart ? [joint] : [],
    );
    const otherwise = spelledOtherwise(facts, sided);
    const odd =
      otherwise.kind === 'styles'
        ? otherwise.other.flatMap((group) => group.joints)
        : otherwise.joints;
    const found: Details[] = [];
    if (odd.length > limits.joints) found.push(otherwise);
    if (lonely.length > limits.joints) found.push({ kind: 'partner', joints: lonely });
    const findings = found.map((details) => {
      const list = details.kind === 'partner' ? lonely : odd;
      return {
        level: 'note' as const,
        place: { kind: 'joint' as const, joint: Math.min(...list) },
        measured: list.length,
        limit: limits.joints,
        unit: 'joints' as const,
        joints: list,
        counts: { looked: sided.length, short: list.length },
        details,
      };
    });
    return judged('joints', sided.length, findings, new Set([...odd, ...lonely]).size);
  },
  say(finding, words) {
    const { details } = finding;
    if (details.kind === 'partner') {
      return {
        message: `${words.count(details.joints.length, 'joint')} named for a side without a partner on the other (limit ${finding.limit}): ${words.joints(details.joints)}.`,
        remedy: 'Name the partner alike, or take the side out of a name that has none.',
      };
    }
    if (details.kind === 'standard') {
      return {
        message: `${words.count(details.joints.length, 'joint')} ${details.joints.length === 1 ? 'names its side' : 'name their side'} otherwise than the standard's "${details.pattern}" with ${details.sides} (limit ${finding.limit}): ${words.joints(details.joints)}.`,
        remedy: 'Name all sides as the standard has them.',
      };
    }
    const others = details.other.map(
      (group) => `${STYLE_WORDS[group.style]} (${words.joints(group.joints)})`,
    );
    return {
      message: `Sides are named in ${details.other.length + 1} ways: mostly ${STYLE_WORDS[details.common]}, but ${words.count(finding.measured, 'joint')} ${others.join('; ')} (limit ${finding.limit}).`,
      remedy: `Name all sides as most are named: ${STYLE_WORDS[details.common]}.`,
    };
  },
});

/** The joints whose side is told otherwise than the standard, else most of the rig, tells it. */
function spelledOtherwise(
  { rig, wanted: { names } }: Facts,
  sided: readonly { joint: number; item: NamedSide }[],
): Exclude<Details, { kind: 'partner' }> {
  if (names === undefined) return { kind: 'styles', ...sideStyles(sided) };
  const joints = sided.flatMap(({ joint }) =>
    followsPattern(names, rig.joints.names[joint] ?? '') ? [] : [joint],
  );
  const sides = `${names.sides.left}/${names.sides.right}`;
  return { kind: 'standard', pattern: names.text, sides, joints };
}
