import type { Totals, Verdict } from './report-types.js';

/** In the order in which they are counted. */
export const VERDICTS: readonly Verdict[] = ['sound', 'unsound', 'unreadable', 'nothing to judge'];

/** Whether somebody has to act: a file without a rig is not sound, but nothing in it is at fault either. */
export function isAtFault(verdict: Verdict): boolean {
  return verdict === 'unsound' || verdict === 'unreadable';
}

/** `3 sound`, `1 with nothing to judge`: verdicts that some assets have. */
export function countedVerdicts(verdicts: Totals['verdicts']): string[] {
  return VERDICTS.filter((verdict) => verdicts[verdict] > 0).map((verdict) => {
    const counted = verdicts[verdict];
    return verdict === 'nothing to judge' ? `${counted} with ${verdict}` : `${counted} ${verdict}`;
  });
}

/** A verdict as the class of an element, which is one word. */
export function verdictClass(verdict: Verdict): string {
  return verdict.replaceAll(' ', '-');
}
