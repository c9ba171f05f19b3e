import type { Location, Notification, ReportingDescriptor } from 'sarif';
import type { LedgerEntry, LedgerReport } from './ledger-report.js';
import type { ArtifactTable } from './sarif-artifacts.js';
import { UNREADABLE_RULE } from './sarif-rules.js';
import { messageText, sentence } from './sarif-text.js';
import { whichOf } from './waiver-words.js';

const NOTICES = {
  [UNREADABLE_RULE.id]: sentence(UNREADABLE_RULE.title),
  'results.left-out': 'More results than a service accepts.',
  'run.stopped': 'A run that was stopped.',
  'waiver.expired': 'A waiver whose last day is past.',
  'waiver.unmatched': 'A waiver that matches no finding any more.',
  'waiver.open': 'A waiver that does not say what it accepted.',
  'rule.failed': 'A rule that failed, so that it judged nothing.',
} as const;

/** What a run can tell of itself, beside its results. */
export function describeNotices(): ReportingDescriptor[] {
  return Object.entries(NOTICES).map(([id, text]) => ({ id, shortDescription: { text } }));
}

/** One notice of those that `describeNotices` describes. */
export function notice(
  id: keyof typeof NOTICES,
  level: 'error' | 'warning',
  text: string,
  location?: Location,
): Notification {
  return {
    descriptor: { id, index: Object.keys(NOTICES).indexOf(id) },
    level,
    message: messageText(text),
    ...(location && { locations: [location] }),
  };
}

/** The waivers that need a look, each at its line in the ledger. */
export function waiverNotices(
  { path, expired, unmatched, open }: LedgerReport,
  artifacts: ArtifactTable,
): Notification[] {
  const noticesOf = <W extends LedgerEntry>(
    id: keyof typeof NOTICES,
    waivers: readonly W[],
    textOf: (which: string, waiver: W) => string,
  ): Notification[] =>
    waivers.map((waiver) => {
      const artifactLocation = artifacts.addLedger(path);
      const physicalLocation = { artifactLocation, region: { startLine: waiver.line } };
      return notice(id, 'warning', textOf(whichOf(waiver), waiver), { physicalLocation });
    });
  return [
    ...noticesOf(
      'waiver.expired',
      expired,
      (which, { until }) =>
        `The last day of a waiver is past (${until ?? ''}), so it waives nothing: ${which}. Mend the fault, or renew the waiver with "trysquare waive REPORT --renew".`,
    ),
    ...noticesOf(
      'waiver.unmatched',
      unmatched,
      (which) =>
        `A waiver matches no finding any more: ${which}. If the fault is mended, remove the waiver with "trysquare waive REPORT --prune". If its asset was moved, use --move OLD NEW.`,
    ),
    ...noticesOf(
      'waiver.open',
      open,
      (which) =>
        `A waiver does not say what it accepted: ${which}. Record it with "trysquare waive REPORT --carry-over".`,
    ),
  ];
}
