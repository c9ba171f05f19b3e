import type { Level } from './finding.js';

/** What a level means, for every rule alike: the words of all documents are taken from here. */
export const LEVEL_MEANINGS: Readonly<Record<Level, string>> = {
  error:
    'against a MUST of glTF 2.0 that viewers act on, or it breaks the work of whoever poses the rig, animates it or swaps clips, and cannot be seen coming. A lead sends the rig back for it.',
  warning: 'costs somebody time sooner or later. A careful rigger would mend it.',
  note: 'good to know: a leftover, a habit of an export, a choice.',
};

/** What is not told at all. */
export const SILENCE_MEANS =
  'Nothing is told of a convention that a rig keeps to, whether or not another is more common.';
