import type { Level } from './finding.js';

/** What a level means, for every rule alike: the words of all documents are taken from here. */
export const LEVEL_MEANINGS: Readonly<Record<Level, string>> = {
  error:
    'breaks a MUST of glTF 2.0 that viewers depend on, or breaks the work of the people who pose the rig, animate it or exchange clips, without a sign before. A lead sends the rig back because of it.',
  warning: 'will cost somebody time at some point. A careful rigger would mend it.',
  note: 'is good to know: something left over, the way an exporter works, or a choice.',
};

/** What gives no finding at all. */
export const SILENCE_MEANS =
  'A convention that the whole rig follows gives no finding, even if another convention is more common.';
