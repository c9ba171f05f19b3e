import { rules } from '../../../rules/index.js';
import { AssetError } from '../../asset/errors.js';
import { tooLong } from '../../batch/task-limits.js';
import { importRules, type LoadModule } from '../../check/own-rules.js';
import { type PlainSettings, settingsFromPlain } from '../../check/settings.js';
import type { RigRenames } from '../../mend/renames.js';
import type { AssetReport } from '../../report/report-types.js';
import { openLedgerRun } from '../run/ledger-use.js';
import { foldedText } from './folded-words.js';
import type { MendChoices } from './mend-choices.js';
import { type Prepared, prepare, unreadableReason, write } from './mend-one.js';
import type { MendPlace } from './mend-place.js';
import type { MendStep } from './mend-progress.js';
import { type MendRecord, recordOf } from './mend-record.js';
import { notMended } from './not-mended.js';

/** One asset of many to mend: all that a worker has to know. */
export interface MendTask {
  readonly path: string;
  readonly name: string;
  readonly settings: PlainSettings;
  /** The standard that it is checked against, as the user knows it. */
  readonly standard: string | null;
  readonly choices: MendChoices;
  /** Null for a dry run. */
  readonly place: MendPlace | null;
  /** The ledger as the option says, the folder that it is looked for from, and the time. */
  readonly ledger: { readonly named?: string | boolean; readonly cwd: string; readonly now: Date };
  readonly columns: number | null;
  readonly isQuiet: boolean;
}

/** What comes back: never the file itself, which is written where it is made. */
export interface MendDone {
  readonly record: MendRecord;
  /** What people are told. */
  readonly text: string;
  readonly renames: RigRenames[];
  /** The report after the mend where rules of the house's own failed on it; else null. */
  readonly failed: AssetReport | null;
}

/** Mends one asset and writes it, in whichever process this is. Throws what no asset is to blame for. */
export async function mendTask(
  task: MendTask,
  load: LoadModule,
  watch: (step: MendStep) => void,
): Promise<MendDone> {
  const { path, name, place, choices, standard, columns, isQuiet } = task;
  const own = await importRules(task.settings.own?.modules ?? [], load);
  const settings = settingsFromPlain(task.settings, [...rules, ...own]);
  const { named, cwd, now } = task.ledger;
  const flags = named === undefined ? {} : { ledger: named };
  const ledger = await openLedgerRun(flags, settings, { cwd, clock: () => now });
  let prepared: Prepared;
  try {
    prepared = await prepare({
      path,
      settings,
      place,
      options: {
        ...choices,
        name,
        watch: (step, share) => watch({ name, step, share }),
        ...(ledger !== null && { judge: (report, renames) => ledger.asset(report, renames) }),
      },
    });
  } catch (error) {
    const { reason, where } = unreadableReason(error);
    return notMended(task, 'unreadable', reason, where);
  }
  const { result } = prepared;
  const record = recordOf(result, standard, write(prepared));
  return {
    record,
    text: foldedText(record, result, columns, isQuiet),
    renames: result.changes.length === 0 ? [] : result.renames,
    failed: result.after.failed === undefined ? null : result.after,
  };
}

/** The same in a worker, within a time, telling on the way how far it is. */
export function mendWithin(
  task: MendTask,
  seconds: number,
  load: LoadModule,
  tell: (told: MendStep) => void,
): Promise<MendDone> {
  const end = performance.now() + 1000 * seconds;
  let next = 0;
  return mendTask(task, load, (step) => {
    const now = performance.now();
    // Between steps nothing is half written, and nothing is open.
    if (now > end) throw new AssetError(tooLong(seconds, 'mend'));
    if (now < next) return;
    next = now + TELL_EVERY;
    tell(step);
  });
}

/** Milliseconds between two words of a worker on how far it is. */
const TELL_EVERY = 200;
