import { rules } from '../../../rules/index.js';
import { AssetError } from '../../asset/errors.js';
import { NO_GUARD } from '../../asset/guard.js';
import { readApproved } from '../../batch/approved-task.js';
import { tooLong } from '../../batch/task-limits.js';
import { importRules, type LoadModule } from '../../check/own-rules.js';
import { settingsFromPlain } from '../../check/settings.js';
import { openLedgerRun } from '../run/ledger-use.js';
import { foldedText } from './folded-words.js';
import { type Prepared, prepare, unreadableReason, write } from './mend-one.js';
import type { MendStep } from './mend-progress.js';
import { recordOf } from './mend-record.js';
import type { MendDone, MendTask } from './mend-task.js';
import { notMended } from './not-mended.js';

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
    // It was read within its time before the first asset was mended, and is kept.
    const approved = task.approved && (await readApproved(task.approved, NO_GUARD));
    prepared = await prepare({
      path,
      settings,
      place,
      options: {
        ...choices,
        approved,
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
  return mendTask(task, load, (step) => {
    // Between steps nothing is half written, and nothing is open.
    if (performance.now() > end) throw new AssetError(tooLong(seconds, 'mend'));
    tell(step);
  });
}
