import { judged, notApplicable } from '../../src/kit/finding.js';
import { assetRule } from '../../src/kit/rule.js';
import { fitsPattern } from '../../src/measure/contract.js';
import { against } from '../parts.js';
import { asksFor, clipsCounted, quoted } from './texts.js';

/** Programs of a house start clips by name. */
export const houseClipRequired = assetRule({
  id: 'house.clip-required',
  level: 'error',
  title: 'clips that the standard asks for are missing',
  why: 'The programs of the house start clips by name. A character without its clip stands still.',
  formula: 'The names and patterns of the contract that no clip of the file fits.',
  remedy: 'Export the clips, or give the clips that take their place these names.',
  source: 'common practice',
  limits: {},
  isAsked: ({ contract }) => asksFor(contract?.clips?.required),
  check({ clips, rigs }, _limits, _approved, { contract }) {
    const required = contract?.clips?.required ?? [];
    if (rigs.length === 0) return notApplicable('the file has no rig');
    const missing = required.filter(
      (pattern) => !clips.some(({ name }) => fitsPattern(pattern, name)),
    );
    const looked = required.length;
    if (missing.length === 0) return judged('clips', looked, []);
    return judged(
      'clips',
      looked,
      [
        {
          level: 'error',
          place: { kind: 'asset' },
          ...against(missing.length, 0, 'clips'),
          counts: { looked, short: missing.length },
          details: { missing: missing.map(({ text }) => text), looked },
        },
      ],
      missing.length,
    );
  },
  say: ({ measured, details: { missing, looked } }) => ({
    message: `${measured} of ${clipsCounted(looked)} that the standard asks for ${measured === 1 ? 'is' : 'are'} missing (limit 0): ${quoted(missing)}.`,
    remedy:
      'Export the clips. If a clip takes their place under another name, give it the name of the standard.',
  }),
});
