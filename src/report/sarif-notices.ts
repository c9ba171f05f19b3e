import type { Notification, ReportingDescriptor, ReportingDescriptorReference } from 'sarif';
import { stoppedWords } from './finding-words.js';
import type { LedgerEntry, LedgerReport } from './ledger-report.js';
import type { Report } from './report-types.js';
import type { ArtifactTable } from './sarif-artifacts.js';
import { UNREADABLE_RULE } from './sarif-rules.js';
import { MESSAGE_LENGTH, plainText, sentence } from './sarif-text.js';
import { whichOf } from './waiver-words.js';

const STOPPED = 'run.stopped';
const LEFT_OUT = 'results.left-out';
const EXPIRED = 'waiver.expired';
const UNMATCHED = 'waiver.unmatched';
const OPEN = 'waiver.open';

/** What a run can tell of itself, beside its results. */
export const NOTICES: readonly ReportingDescriptor[] = [
  { id: UNREADABLE_RULE.id, shortDescription: { text: sentence(UNREADABLE_RULE.title) } },
  { id: LEFT_OUT, shortDescription: { text: 'More results than a service accepts.' } },
  { id: STOPPED, shortDescription: { text: 'A run that was stopped.' } },
  { id: EXPIRED, shortDescription: { text: 'A waiver whose last day is past.' } },
  { id: UNMATCHED, shortDescription: { text: 'A waiver that matches no finding any more.' } },
  { id: OPEN, shortDescription: { text: 'A waiver that does not say what it accepted.' } },
];

/** Refers to the one of `NOTICES` with this id. */
export function noticeOf(id: string): ReportingDescriptorReference {
  return { id, index: NOTICES.findIndex((notice) => notice.id === id) };
}

/** Says that assets are missing, because the run was stopped. */
export function stoppedNotice(partial: NonNullable<Report['partial']>): Notification {
  return {
    descriptor: noticeOf(STOPPED),
    level: 'error',
    message: { text: stoppedWords(partial) },
  };
}

/** Says that `shown` results of `all` are there. */
export function leftOutNotice(all: number, shown: number): Notification {
  return {
    descriptor: noticeOf(LEFT_OUT),
    level: 'warning',
    message: {
      text: `${all - shown} of ${all} results were left out, the least serious ones first: services accept ${shown}.`,
    },
  };
}

/** The waivers that need a look, each at its line in the ledger. */
export function waiverNotices(
  { path, expired, unmatched, open }: LedgerReport,
  artifacts: Pick<ArtifactTable, 'addLedger'>,
): Notification[] {
  const notice = (id: string, { line }: LedgerEntry, text: string): Notification => ({
    descriptor: noticeOf(id),
    level: 'warning',
    message: { text: plainText(text, MESSAGE_LENGTH) },
    locations: [
      {
        physicalLocation: {
          artifactLocation: artifacts.addLedger(path),
          region: { startLine: line },
        },
      },
    ],
  });
  return [
    ...expired.map((entry) =>
      notice(
        EXPIRED,
        entry,
        `The last day of a waiver is past (${entry.until ?? ''}), so it waives nothing: ${whichOf(entry)}. Mend the fault, or renew the waiver with "trysquare waive REPORT --renew".`,
      ),
    ),
    ...unmatched.map((entry) =>
      notice(
        UNMATCHED,
        entry,
        `A waiver matches no finding any more: ${whichOf(entry)}. If the fault is mended, remove the waiver with "trysquare waive REPORT --prune". If its asset was moved, use --move OLD NEW.`,
      ),
    ),
    ...open.map((entry) =>
      notice(
        OPEN,
        entry,
        `A waiver does not say what it accepted: ${whichOf(entry)}. Record it with "trysquare waive REPORT --carry-over".`,
      ),
    ),
  ];
}
