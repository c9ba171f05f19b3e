import { atJoints, findingsOf, judged, type Level, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { Facts } from '../../src/measure/facts.js';
import { followsPattern } from '../../src/measure/names/name-pattern.js';
import {
  isEndTip,
  type NamedSide,
  type SideStyle,
  type SideStyles,
  sideStyles,
} from '../../src/measure/names/sides.js';
import { pairs } from '../../src/measure/skeleton/pairs.js';
import { type SwappedSides, swappedSides } from '../../src/measure/skeleton/swapped-sides.js';
import { against, limit, mostWords } from '../parts.js';

const STYLE_WORDS: Readonly<Record<SideStyle, string>> = {
  'word-first': 'left/right at the front',
  'word-last': 'left/right at the end',
  'word-within': 'left/right within the name',
  'letter-first': 'L/R at the front',
  'letter-last': 'L/R at the end',
  'letter-within': 'L/R within the name',
};

/** What each kind of finding says. */
type SideDetails =
  | ({ readonly kind: 'styles' } & SideStyles)
  // Pattern and sides as the standard writes them.
  | ({ readonly kind: 'standard'; readonly pattern: string; readonly sides: string } & Listed)
  | ({ readonly kind: 'partner' | 'hung' } & Listed)
  | ({ readonly kind: 'limb' } & Listed & Pick<SwappedSides, 'reference' | 'leftSign'>);

interface Listed {
  readonly joints: readonly number[];
}

const SWAP =
  'Swap left and right in these names, and in clips of other files that find joints by name.';

/** Sides named in one way, for the side they are on, each with its partner: mirroring by name works. */
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
  limits: { joints: limit(0, 'joints', 'joints that break the naming of sides') },
  check(facts, limits) {
    const { named, partner } = pairs(facts);
    const sided = named.flatMap((side, joint) => (side === null ? [] : [{ joint, item: side }]));
    if (sided.length === 0) return notApplicable('no names of the rig tell sides');
    const lonely = sided.flatMap(({ joint, item }) =>
      partner[joint] === -1 && item.apart && !isEndTip(facts.rig.joints, joint) ? [joint] : [],
    );
    const { hung, limbs, whole, reference, leftSign } = swappedSides(facts);
    const kinds: (readonly [Level, SideDetails, readonly number[]])[] = [
      ['warning', { kind: 'hung', joints: hung }, hung],
      [whole ? 'error' : 'warning', { kind: 'limb', joints: limbs, reference, leftSign }, limbs],
      ['note', ...spelledOtherwise(facts, sided)],
      ['note', { kind: 'partner', joints: lonely }, lonely],
    ];
    const findings = findingsOf(kinds, ([level, details, joints]) => {
      if (joints.length <= limits.joints) return null;
      return {
        ...atJoints([...joints].sort((a, b) => a - b)),
        level,
        ...against(joints.length, limits.joints, 'joints'),
        aspect: details.kind,
        counts: { looked: sided.length, short: joints.length },
        details,
      };
    });
    const all = new Set(kinds.flatMap(([, , joints]) => joints));
    return judged('joints', sided.length, findings, all.size);
  },
  say({ details, limit, measured }, words) {
    if (details.kind === 'styles') {
      const others = details.other.map(
        ({ style, joints }) => `${STYLE_WORDS[style]} (${words.joints(joints)})`,
      );
      return {
        message: `Sides are named in ${others.length + 1} ways: mostly ${STYLE_WORDS[details.common]}, but ${words.count(measured, 'joint')} ${others.join('; ')} (${mostWords(limit)}).`,
        remedy: `Write all sides as most names do: ${STYLE_WORDS[details.common]}.`,
      };
    }
    const { joints } = details;
    const who = words.count(joints.length, 'joint');
    const are = joints.length === 1 ? 'is' : 'are';
    const end = `(${mostWords(limit)}): ${words.joints(joints)}.`;
    switch (details.kind) {
      case 'hung':
        return {
          message: `${who} ${are} named for the opposite side of the limb that they hang on ${end}`,
          remedy: SWAP,
        };
      case 'limb':
        return {
          message: `${who} ${are} named for the wrong side, compared with ${referenceWords(details, words)} ${end}`,
          remedy: SWAP,
        };
      case 'partner':
        return {
          message: `${who} named for a side, without a partner on the other side ${end}`,
          remedy:
            'Give the partner the same name with the other side, or remove the side from the name if there is no partner.',
        };
      case 'standard':
        return {
          message: `${who} ${joints.length === 1 ? 'does not name its side' : 'do not name their side'} by the standard's "${details.pattern}" with ${details.sides} ${end}`,
          remedy: 'Write all sides as the standard asks.',
        };
    }
  },
});

/** `the other limbs of the rig, whose left is at +X, such as "thigh_L"`. */
function referenceWords(
  { reference, leftSign }: Pick<SwappedSides, 'reference' | 'leftSign'>,
  words: Words,
): string {
  const side = leftSign > 0 ? '+X' : '-X';
  return reference.length === 0
    ? `the side to which the rig faces, by which left is at ${side}`
    : `the other limbs of the rig, whose left is at ${side}, such as ${words.joint(reference[0] ?? 0)}`;
}

/** The joints whose side is written otherwise than the standard, else most of the rig, has it. */
function spelledOtherwise(
  { rig, wanted: { names } }: Facts,
  sided: readonly { joint: number; item: NamedSide }[],
): [SideDetails, readonly number[]] {
  if (names === undefined) {
    const styles = sideStyles(sided.filter(({ joint }) => !isEndTip(rig.joints, joint)));
    return [{ kind: 'styles', ...styles }, styles.other.flatMap(({ joints }) => joints)];
  }
  const joints = sided.flatMap(({ joint }) =>
    followsPattern(names, rig.joints.names[joint] ?? '') ? [] : [joint],
  );
  const sides = `${names.sides.left}/${names.sides.right}`;
  return [{ kind: 'standard', pattern: names.text, sides, joints }, joints];
}
