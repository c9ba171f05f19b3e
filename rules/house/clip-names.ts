import { judged, notApplicable } from '../../src/kit/finding.js';
import { assetRule } from '../../src/kit/rule.js';
import { fitsPattern } from '../../src/measure/contract.js';
import { against } from '../parts.js';
import { asksFor, clipsCounted, quoted } from './texts.js';

/** A house sorts and starts clips by their names. */
export const houseClipNames = assetRule({
  id: 'house.clip-names',
  level: 'warning',
  title: 'clips that are not named as the standard asks',
  why: 'Clips are found by name. One that is named in another way is missed, or is a take that should not be there.',
  formula: 'The clips of a file that has a rig whose name fits no pattern of the contract.',
  remedy: 'Name the clips as the standard asks, or leave them out of the export.',
  source: 'common practice',
  limits: {},
  isAsked: ({ contract }) => asksFor(contract?.clips?.names),
  check({ clips, rigs }, _limits, _approved, { contract }) {
    const patterns = contract?.clips?.names ?? [];
    if (rigs.length === 0) return notApplicable('the file has no rig');
    const others = clips.filter(
      ({ name }) => !patterns.some((pattern) => fitsPattern(pattern, name)),
    );
    const looked = clips.length;
    if (others.length === 0) return judged('clips', looked, []);
    return judged(
      'clips',
      looked,
      [
        {
          level: 'warning',
          place: { kind: 'asset' },
          ...against(others.length, 0, 'clips'),
          counts: { looked, short: others.length },
          details: {
            names: others.map(({ name }) => name),
            patterns: patterns.map(({ text }) => text),
            looked,
          },
        },
      ],
      others.length,
    );
  },
  say: ({ measured, details: { names, patterns, looked } }) => ({
    message: `${measured} of ${clipsCounted(looked)} ${measured === 1 ? 'has a name' : 'have names'} that ${measured === 1 ? 'does' : 'do'} not fit ${quoted(patterns)} (limit 0): ${quoted(names)}.`,
    remedy: 'Name these clips as the standard asks, or leave them out of the export.',
  }),
});
