import { counted } from '../../report/finding-words.js';
import type { MendOutcome } from './mend-record.js';
import type { MendTally } from './mend-tally.js';

/** `60 assets: 40 mended (38 sound now), 15 sound before and left as they were, 3 not written, 2 unreadable.` */
export function tallyWords({ assets, outcomes, soundAfter }: MendTally): string {
  // Files without a rig are not sound, and have nothing to mend either.
  const before = (outcome: MendOutcome): string =>
    soundAfter[outcome] === outcomes[outcome] ? 'sound before' : 'without a fault before';
  const parts = (
    [
      ['written', `mended and written, ${soundAfter.written} of them sound now`],
      ['planned', `planned, ${soundAfter.planned} of them sound then`],
      ['copied', `${before('copied')}, and copied`],
      ['left', `${before('left')}, and left as they were`],
      ['refused', 'not written, since nothing could be mended as asked'],
      ['failed', 'not written, for a fault'],
      ['unreadable', 'that could not be mended'],
    ] satisfies [MendOutcome, string][]
  ).flatMap(([outcome, words]) =>
    outcomes[outcome] === 0 ? [] : [`${outcomes[outcome]} ${words}`],
  );
  return `${counted(assets, 'asset')}: ${parts.join('; ') || 'none mended'}.`;
}
