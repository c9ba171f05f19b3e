import { isFailing } from '../kit/finding.js';
import type { AssetReport, FindingReport, Report, WaiverReport } from './report-types.js';

/** Whether a finding makes its asset unsound: at the failing level or above, and not waived. */
export function makesUnsound(finding: FindingReport, failing: Report['failing']): boolean {
  return finding.waived === undefined && isFailing(finding.level, failing);
}

/** What was measured, what to do, what it leads to, and what of it no waiver accepted; names in it are still raw. */
export function findingWords({
  message,
  remedy,
  consequences,
  beyond = [],
}: FindingReport): string {
  return [message, remedy, ...consequences, ...beyond].filter((part) => part !== '').join(' ');
}

/** `Waived by props until 2027-01-31: a crank sits here.` */
export function waiverWords({ by, why, until }: WaiverReport): string {
  const end = until === null ? 'without a last day' : `until ${until}`;
  return `Waived by ${by} ${end}: ${why}`;
}

/** Why an asset could not be read, and where in it. */
export function unreadableWords({ reason, where }: NonNullable<AssetReport['unreadable']>): string {
  return `${reason}${where === null ? '' : ` (at ${where})`}.`;
}

/** `The run was stopped: 9 of 400 assets checked.` */
export function stoppedWords({ checked, of }: NonNullable<Report['partial']>): string {
  return `The run was stopped: ${checked} of ${counted(of, 'asset')} checked.`;
}

/** How an asset is called; `-` is the path of standard input. */
export function assetName({ path }: AssetReport): string {
  return path === '-' ? 'standard input' : path;
}

/** `1 error`, `2 errors`. */
export function counted(value: number, noun: string): string {
  return value === 1 ? `1 ${noun}` : `${value} ${noun}s`;
}

/**
 * At most about `letters` letters of `text`. The middle goes, since a message begins with the
 * measure and ends with the remedy, and a name of thousands of letters is in between.
 */
export function shortened(text: string, letters: number): string {
  if (text.length <= letters) return text;
  const head = Math.ceil((letters * 3) / 4);
  // Half of a pair at a cut would show as an escape.
  const start = text.slice(0, head).replace(/[\ud800-\udbff]$/, '');
  const end = text.slice(text.length - (letters - head)).replace(/^[\udc00-\udfff]/, '');
  return `${start} … ${end}`;
}
