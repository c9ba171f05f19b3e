import type { Finding } from '../../src/kit/finding.js';
import type { Said } from '../../src/kit/rule.js';
import type { Words } from '../../src/kit/words.js';
import type { SideStyle, SideStyles } from '../../src/measure/names/sides.js';

const STYLE_WORDS: Readonly<Record<SideStyle, string>> = {
  'word-first': 'left/right at the front',
  'word-last': 'left/right at the end',
  'word-within': 'left/right within the name',
  'letter-first': 'L/R at the front',
  'letter-last': 'L/R at the end',
  'letter-within': 'L/R within the name',
};

/** What each kind of finding says. */
export type SideDetails =
  | ({ readonly kind: 'styles' } & SideStyles)
  | {
      readonly kind: 'standard';
      /** As the standard writes them. */
      readonly pattern: string;
      readonly sides: string;
      readonly joints: readonly number[];
    }
  | { readonly kind: 'partner' | 'hung' | 'limb'; readonly joints: readonly number[] };

const SWAP = 'Swap left and right in these names, and in the clips that use them.';

/** The words of `name.side`. */
export function sayOfSides(finding: Finding<SideDetails>, words: Words): Said {
  const { details, limit } = finding;
  if (details.kind === 'styles') {
    const others = details.other.map(
      (group) => `${STYLE_WORDS[group.style]} (${words.joints(group.joints)})`,
    );
    return {
      message: `Sides are named in ${details.other.length + 1} ways: mostly ${STYLE_WORDS[details.common]}, but ${words.count(finding.measured, 'joint')} ${others.join('; ')} (limit ${limit}).`,
      remedy: `Write all sides as most names do: ${STYLE_WORDS[details.common]}.`,
    };
  }
  const { joints } = details;
  const who = words.count(joints.length, 'joint');
  const are = joints.length === 1 ? 'is' : 'are';
  const end = `(limit ${limit}): ${words.joints(joints)}.`;
  switch (details.kind) {
    case 'hung':
      return {
        message: `${who} ${are} named for the opposite side of the limb that they hang on ${end}`,
        remedy: SWAP,
      };
    case 'limb':
      return {
        message: `${who} ${are} named for the wrong side, compared with the other limbs of the rig ${end}`,
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
}
