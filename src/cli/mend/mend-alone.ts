import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import type { MendResult } from '../../mend/mend-asset.js';
import { visible } from '../../report/visible.js';
import type { ApprovedAsset } from '../../rig/types.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { tell, tellFailure, writeText } from '../output/write-output.js';
import { isSameFile } from '../paths/link-end.js';
import { refuseGone } from '../paths/working-folder.js';
import type { HeldTo } from '../run/held-to.js';
import { openLedgerRun } from '../run/ledger-use.js';
import { type KnownRules, knownRules } from '../run/own-rules.js';
import { FailedRules } from '../run/tell-failed.js';
import { namesFile } from './beside-names.js';
import { heldToApproved } from './mend-approved.js';
import { type MendChoices, mendChoices } from './mend-choices.js';
import { codeOf } from './mend-codes.js';
import type { MendFlags } from './mend-flags.js';
import { takeLedgerAlong } from './mend-ledger.js';
import { type Prepared, prepare, unreadableReason, write } from './mend-one.js';
import type { MendPage } from './mend-page.js';
import { choosePlace, type MendPlace } from './mend-place.js';
import { MendProgress } from './mend-progress.js';
import { bareRecord, type MendRecord, recordOf } from './mend-record.js';
import { mendText, quietText } from './mend-words.js';
import { notTakenWords, writtenWords } from './written-words.js';

/** What a mend of one asset goes by. */
interface Context {
  readonly file: string;
  readonly flags: MendFlags;
  readonly io: Io;
  readonly held: HeldTo;
  /** What it is compared with; null for nothing. */
  readonly approved: ApprovedAsset | null;
  readonly known: KnownRules;
  /** Null where none is asked for. */
  readonly page: MendPage | null;
}

/** Mends one asset in this process, and tells the plan before anything is written. Returns the exit code. */
export async function mendAlone(file: string, flags: MendFlags, io: Io): Promise<number> {
  const place = choosePlace(file, flags, io);
  const page =
    flags.page === undefined
      ? null
      : (await import('./mend-page.js')).openMendPage(file, flags, io);
  const known = await knownRules(flags, io);
  const choices = await mendChoices(flags, known);
  const path = resolve(io.cwd, file);
  const { held, approved } = await heldToApproved(path, file, flags, choices, io);
  const kept = approved === null ? [] : [resolve(io.cwd, approved.name)];
  if (place?.way === 'file' && kept.some((one) => isSameFile(one, place.target)))
    throw new UsageError(
      `--out names ${visible(place.shown)}, which is the approved rig; name another file`,
    );
  const taken = [path, ...kept, ...(place === null ? [] : [place.target])];
  const report =
    flags.report === undefined
      ? null
      : await (await import('./mend-report.js')).MendReport.open(flags, choices, null, taken, io);
  try {
    const { record, code } = await mend(place, choices, {
      file,
      flags,
      io,
      held,
      approved,
      known,
      page,
    });
    await report?.add(record);
    await report?.end();
    return code;
  } catch (error) {
    report?.discard();
    throw error;
  }
}

async function mend(
  place: MendPlace | null,
  choices: MendChoices,
  context: Context,
): Promise<{ readonly record: MendRecord; readonly code: number }> {
  const { file, flags, io, held, approved } = context;
  const ledger = await openLedgerRun(flags, held.settings, io);
  const progress = new MendProgress(1, io, flags.quiet !== true);
  let prepared: Prepared;
  try {
    prepared = await prepare({
      path: resolve(io.cwd, file),
      settings: held.settings,
      place,
      options: {
        ...choices,
        approved,
        name: file,
        watch: (step, share) => progress.at({ name: file, step, share }),
        ...(ledger !== null && { judge: (report, renames) => ledger.asset(report, renames) }),
      },
    });
  } catch (error) {
    const { reason, where } = unreadableReason(error);
    progress.clear();
    refuseGone(io);
    await tellFailure(io, file, 'mended', { reason, where });
    return { record: bareRecord(file, 'unreadable', reason, where), code: EXIT.unreadable };
  }
  progress.clear();
  return tellAndWrite(prepared, context);
}

async function tellAndWrite(prepared: Prepared, context: Context) {
  const { file, flags, io, held, known, page } = context;
  const { result, end } = prepared;
  const isQuiet = flags.quiet === true;
  const text = isQuiet ? quietText(result, io.columns) : mendText(result, io.columns);
  const failed = new FailedRules(io);
  if (end.outcome !== 'failed') {
    await writeText(io.stdout, text);
    await failed.add(result.after);
  }
  const isPlan = flags.dryRun === true && result.offending === null && result.isTurned;
  if (isPlan || end.why === null) {
    const written = flags.dryRun === true ? null : (flags.out ?? file);
    await page?.tell(resolve(io.cwd, file), result, held.settings, written);
  }
  const how = write(prepared);
  const record = recordOf(result, held.standardName, how);
  const code = codeOf(record, failed.any);
  if (how.why !== null) {
    const none = flags.dryRun === true ? 'nothing would be written: ' : 'nothing was written: ';
    const lead = how.outcome === 'refused' ? none : '';
    await tell(io, `${lead}${how.why}`);
    if (isPlan) await page?.write();
    return { record, code };
  }
  const wrote = writtenWords(record, file);
  const also = how.out === null ? '' : ledgerWords(record, result, { file, flags, io, known });
  if (wrote !== null && (!isQuiet || also !== '')) await tell(io, `${wrote}${also}`);
  for (const one of how.notTaken) await tell(io, notTakenWords(one, how.out ?? file));
  await page?.write();
  return { record, code };
}

/** Takes the ledger along, and says so as the end of a sentence. */
function ledgerWords(
  { out, renamed, files }: MendRecord,
  result: MendResult,
  { file, flags, io, known }: Omit<Context, 'held' | 'approved' | 'page'>,
): string {
  if (result.changes.length === 0 || out === null) return '';
  const inPlace = files.some(({ holds }) => holds === 'backup');
  const names = renamed.length === 0 ? null : namesFile(out);
  return takeLedgerAlong(
    { file, out: inPlace ? null : out, names },
    result,
    flags,
    known.rules,
    io,
  );
}
