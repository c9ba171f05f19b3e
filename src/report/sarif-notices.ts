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
  { id: LEFT_OUT, shortDescription: { text: 'More results than a service takes.' } },
  { id: STOPPED, shortDescription: { text: 'A run that was stopped before its end.' } },
  { id: EXPIRED, shortDescription: { text: 'A waiver past its day.' } },
  { id: UNMATCHED, shortDescription: { text: 'A waiver that fits no finding any more.' } },
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
      text: `${all - shown} of ${all} results were left out, the mildest first: services take ${shown}.`,
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
        `Waiver past its day (${entry.until ?? ''}), which waives nothing: ${whichOf(entry)}. Mend the fault, or renew it with "trysquare waive REPORT --renew".`,
      ),
    ),
    ...unmatched.map((entry) =>
      notice(
        UNMATCHED,
        entry,
        `Waiver that fits no finding any more: ${whichOf(entry)}. Take it out with "trysquare waive REPORT --prune" if the fault is mended; if its asset has moved, use --move OLD NEW.`,
      ),
    ),
    ...open.map((entry) =>
      notice(
        OPEN,
        entry,
        `Waiver that does not say what it accepted: ${whichOf(entry)}. Have it say so with "trysquare waive REPORT --carry-over".`,
      ),
    ),
  ];
}
