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
  const noticeOf = (id: keyof typeof NOTICES, { line }: LedgerEntry, text: string): Notification =>
    notice(id, 'warning', text, {
      physicalLocation: {
        artifactLocation: artifacts.addLedger(path),
        region: { startLine: line },
      },
    });
  return [
    ...expired.map((waiver) =>
      noticeOf(
        'waiver.expired',
        waiver,
        `The last day of a waiver is past (${waiver.until ?? ''}), so it waives nothing: ${whichOf(waiver)}. Mend the fault, or renew the waiver with "trysquare waive REPORT --renew".`,
      ),
    ),
    ...unmatched.map((waiver) =>
      noticeOf(
        'waiver.unmatched',
        waiver,
        `A waiver matches no finding any more: ${whichOf(waiver)}. If the fault is mended, remove the waiver with "trysquare waive REPORT --prune". If its asset was moved, use --move OLD NEW.`,
      ),
    ),
    ...open.map((waiver) =>
      noticeOf(
        'waiver.open',
        waiver,
        `A waiver does not say what it accepted: ${whichOf(waiver)}. Record it with "trysquare waive REPORT --carry-over".`,
      ),
    ),
  ];
}
