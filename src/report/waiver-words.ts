import { counted } from './finding-words.js';
import type { LedgerEntry, LedgerReport } from './ledger-report.js';

/**
 * How many waivers need a look, and what to do, as a paragraph; empty for none.
 */
export function waiverSummary({ expired, unmatched, open }: LedgerReport): string {
  const gone = unmatched.filter((entry) => entry.gone === true).length;
  const parts = [
    ...(expired.length > 0
      ? [`${counted(expired.length, 'waiver')} with a last day that is past`]
      : []),
    ...(unmatched.length > 0
      ? [
          `${counted(unmatched.length, 'waiver')} that ${fits(unmatched.length)} no finding any more`,
        ]
      : []),
    ...(open.length > 0
      ? [`${counted(open.length, 'waiver')} that ${say(open.length)} not say what was accepted`]
      : []),
  ];
  if (parts.length === 0) return '';
  const steps = [
    ...(expired.length > 0 ? ['"trysquare waive REPORT --renew" sets a new day.'] : []),
    ...(gone > 0
      ? [
          `${counted(gone, 'waiver')} ${gone === 1 ? 'is' : 'are'} for an asset that does not exist any more: if it was moved, use "trysquare waive --move OLD NEW"; if not, use "trysquare waive --prune --gone".`,
        ]
      : []),
    ...(expired.length + unmatched.length > gone
      ? ['"trysquare waive REPORT --prune" removes waivers that are not needed any more.']
      : []),
    ...(open.length > 0 ? ['"trysquare waive REPORT --carry-over" records what they accept.'] : []),
  ];
  return `${parts.join(', ')}. ${steps.join(' ')}`;
}

/** `axis.up at body/neck and 2 more places of heron.glb`: what a waiver is about; names are raw. */
export function whichOf({
  rule,
  asset,
  joint,
  others,
}: Pick<LedgerEntry, 'rule' | 'asset' | 'joint' | 'others'>): string {
  if (joint === null) return `${rule} anywhere in ${asset}`;
  const more = others > 0 ? ` and ${counted(others, 'more place')}` : '';
  return `${rule} at ${joint === '*' ? 'any joint' : joint}${more} of ${asset}`;
}

function fits(count: number): string {
  return count === 1 ? 'matches' : 'match';
}

function say(count: number): string {
  return count === 1 ? 'does' : 'do';
}
