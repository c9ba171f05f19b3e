import { UsageError } from '../../asset/errors.js';
import { checkMany } from '../../batch/check-many.js';
import { isAtFault } from '../../report/verdicts.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { tell, writeText } from '../output/write-output.js';
import { refuseGone } from '../paths/working-folder.js';
import { type KnownRules, knownRules } from '../run/own-rules.js';
import { FailedRules } from '../run/tell-failed.js';
import { startEarly, type Workers } from '../run/workers.js';
import { namesFile } from './beside-names.js';
import { type MendChoices, mendChoices } from './mend-choices.js';
import { codeOf, worseCode } from './mend-codes.js';
import type { MendFlags } from './mend-flags.js';
import { type MendRun, mendJobs, openRun } from './mend-jobs.js';
import { takeLedgerAlong } from './mend-ledger.js';
import { refuseContrary } from './mend-place.js';
import { MendProgress } from './mend-progress.js';
import { MendReport } from './mend-report.js';
import { MendTally } from './mend-tally.js';
import type { MendDone } from './mend-task.js';
import { Menders } from './menders.js';
import { tallyWords } from './tally-words.js';

/** Mends a list of assets, in workers where there is a script for them. Returns the exit code: the worst. */
export async function mendMany(
  paths: readonly string[],
  flags: MendFlags,
  io: Io,
): Promise<number> {
  if (flags.page !== undefined)
    throw new UsageError('--page shows one mend; mend one file to get its page, without --out-dir');
  refuseWithoutTarget(paths, flags);
  const known = await knownRules(flags, io);
  const choices = await mendChoices(flags, known);
  const started = await startEarly(paths, flags, io);
  try {
    const run = await openRun(paths, choices, flags, io);
    const report = await MendReport.open(flags, choices, run.part, run.taken(), io, run.out);
    return await mendRun({ run, choices, known, report, started, flags, io });
  } finally {
    await started?.close();
  }
}

interface Context {
  readonly run: MendRun;
  readonly choices: MendChoices;
  readonly known: KnownRules;
  readonly report: MendReport | null;
  readonly started: Workers | null;
  readonly flags: MendFlags;
  readonly io: Io;
}

async function mendRun(context: Context): Promise<number> {
  const { run, choices, known, report, started, flags, io } = context;
  const abort = new AbortController();
  const menders = new Menders(run.files.length, flags, io, started, () => abort.abort());
  const progress = new MendProgress(run.list.length, io, flags.quiet !== true);
  const tally = new MendTally();
  const failed = new FailedRules(io);
  let code: number = EXIT.sound;
  try {
    for await (const done of checkMany(mendJobs(run, choices, flags, io), {
      check: ({ task }) => menders.mend(task, (step) => progress.at(step)),
      sizeOf: ({ bytes }) => bytes,
      workers: menders.count,
      signal: abort.signal,
      onDone: ({ record }) =>
        progress.done(record.path, record.after !== null && !isAtFault(record.after.verdict)),
    })) {
      progress.clear();
      const { record, text } = done;
      if (record.outcome === 'unreadable') refuseGone(io);
      await writeText(io.stdout, text);
      if (done.failed !== null) await failed.add(done.failed);
      code = worseCode(code, codeOf(record, done.failed !== null));
      code = worseCode(code, await moveWaivers(done, known, flags, io));
      tally.add(record);
      await report?.add(record);
    }
    const partial = abort.signal.aborted ? { mended: tally.assets, of: run.list.length } : null;
    progress.clear();
    await failed.end();
    await writeText(io.stdout, `${tallyWords(tally)}\n`);
    // Last: all is mended by now, whether it can be reported or not.
    await report?.end(partial);
    if (partial === null) return code;
    await tell(io, `the run was stopped: ${partial.mended} of ${partial.of} mended`);
    return EXIT.stopped;
  } catch (error) {
    report?.discard();
    throw error;
  } finally {
    progress.clear();
    await menders.close();
  }
}

/** Refuses a list that has no place to go to. Throws UsageError. */
function refuseWithoutTarget(paths: readonly string[], flags: MendFlags): void {
  const { out, outDir, inPlace, dryRun } = flags;
  if (paths.includes('-')) throw new UsageError('standard input cannot be mended; name files');
  refuseContrary(flags);
  if (out !== undefined)
    throw new UsageError(
      '--out names one file, and several assets may be mended here; name a folder with --out-dir DIR',
    );
  if (outDir === undefined && inPlace !== true && dryRun !== true)
    throw new UsageError(
      'a mend does not overwrite its input. Name a folder with --out-dir DIR, see the plan with --dry-run, or use --in-place, which first keeps a copy of each file beside it',
    );
}

/** Takes the ledger along, one asset after the other, and says so. Returns an exit code. */
async function moveWaivers(
  { record, renames }: MendDone,
  { rules }: KnownRules,
  flags: MendFlags,
  io: Io,
): Promise<number> {
  const { path, out, outcome, renamed } = record;
  if (outcome !== 'written' || out === null) return EXIT.sound;
  const names = renamed.length === 0 ? null : namesFile(out);
  const mended = { file: path, out: flags.inPlace === true ? null : out, names };
  try {
    const words = takeLedgerAlong(mended, { renames }, flags, rules, io).replace(/^; /, '');
    if (words !== '' && flags.quiet !== true) await writeText(io.stdout, `  ${words}\n`);
    return EXIT.sound;
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    await tell(io, error.message);
    return EXIT.usage;
  }
}
