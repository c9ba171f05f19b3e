import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { pairs } from '../../src/measure/pairs.js';
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
  | {
      readonly kind: 'styles';
      readonly common: SideStyle;
      readonly other: readonly { style: SideStyle; joints: number[] }[];
    }
  | { readonly kind: 'partner'; readonly joints: readonly number[] };

/** Sides named one way, each with its partner: mirroring by name works. */
export const nameSide = rule({
  id: 'name.side',
  level: 'note',
  title: 'sides named in two ways, or a side without a partner',
  why: 'Mirroring finds the other side by its name. A second way of naming sides, or a missing partner, is passed over in silence.',
  formula:
    'Sides are read from names (L/R or left/right as a part of the name). Told are joints that name their side otherwise than most, and joints whose name tells a side that has no partner, by mapping, name or place. One finding of each kind a rig.',
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
    const { common, other } = styles(sided);
    const odd = other.flatMap((group) => group.joints);
    const found: Details[] = [];
    if (odd.length > limits.joints) found.push({ kind: 'styles', common, other });
    if (lonely.length > limits.joints) found.push({ kind: 'partner', joints: lonely });
    const findings = found.map((details) => {
      const list = details.kind === 'styles' ? odd : lonely;
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
    const others = details.other.map(
      (group) => `${STYLE_WORDS[group.style]} (${words.joints(group.joints)})`,
    );
    return {
      message: `Sides are named in ${details.other.length + 1} ways: mostly ${STYLE_WORDS[details.common]}, but ${words.count(finding.measured, 'joint')} ${others.join('; ')} (limit ${finding.limit}).`,
      remedy: `Name all sides as most are named: ${STYLE_WORDS[details.common]}.`,
    };
  },
});

/** The style most sided joints use, and the joints of each other style. */
function styles(sided: readonly { joint: number; item: NamedSide }[]): {
  common: SideStyle;
  other: { style: SideStyle; joints: number[] }[];
} {
  const groups = new Map<SideStyle, number[]>();
  for (const { joint, item } of sided) {
    const list = groups.get(item.style);
    if (list === undefined) groups.set(item.style, [joint]);
    else list.push(joint);
  }
  const ordered = [...groups.entries()].sort((a, b) => b[1].length - a[1].length);
  const common = ordered[0]?.[0] ?? 'letter-last';
  return { common, other: ordered.slice(1).map(([style, joints]) => ({ style, joints })) };
}
