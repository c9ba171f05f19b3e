import { judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { assetRule } from '../../src/kit/rule.js';
import { against } from '../parts.js';
import { clipsCounted } from './texts.js';

/** What a house can afford of clips in one file. */
export const houseClips = assetRule({
  id: 'house.clips',
  level: 'warning',
  title: 'more clips in a file than the standard allows',
  why: 'Test clips and old takes that stay in a delivery are loaded by everybody who uses the rig.',
  formula: 'The number of clips in a file that has a rig.',
  remedy: 'Leave clips that nobody asked for out of the export.',
  source: 'common practice',
  limits: {},
  isAsked: ({ contract }) => contract?.clips?.most !== undefined,
  check({ clips, rigs }, _limits, _approved, { contract }) {
    const most = contract?.clips?.most;
    if (most === undefined) return notApplicable('the standard has no largest number of clips');
    if (rigs.length === 0) return notApplicable('the file has no rig');
    if (clips.length <= most) return judged('assets', 1, []);
    return judgedAsOne('assets', 1, {
      level: 'warning',
      place: { kind: 'asset' },
      ...against(clips.length, most, 'clips'),
      details: { most },
    });
  },
  say: ({ measured, details: { most } }) => ({
    message: `The file has ${clipsCounted(measured)}, more than the standard allows (limit ${most}).`,
    remedy: `Leave out at least ${clipsCounted(measured - most)}: first test clips and old takes.`,
  }),
});
