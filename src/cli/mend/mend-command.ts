import { basename, resolve } from 'node:path';
import { AssetError, UsageError } from '../../asset/errors.js';
import { type MendResult, mendAsset } from '../../mend/mend-asset.js';
import { REPAIRS } from '../../mend/repairs.js';
import { EXIT, exitCode } from '../exit-codes.js';
import type { Io } from '../io.js';
import { tell, tellFailure, writeText } from '../output/write-output.js';
import { refuseGone } from '../paths/working-folder.js';
import { openLedgerRun } from '../run/ledger-use.js';
import { knownRules } from '../run/own-rules.js';
import { FailedRules } from '../run/tell-failed.js';
import { heldTo, withLike } from './mend-approved.js';
import { chooseFiles, chooseTarget, namesFile, withoutEnding, writeAll } from './mend-files.js';
import type { MendFlags } from './mend-flags.js';
import { takeLedgerAlong } from './mend-ledger.js';
import { chosenRules, MENDABLE, mendable } from './mend-rules.js';
import { mendText } from './mend-words.js';

/** `trysquare mend`: mends one asset, proves that nothing visible changed, and writes it. Returns the exit code. */
export async function runMend(file: string, flags: MendFlags, io: Io): Promise<number> {
  const { aim, up, inPlace = false } = flags;
  const target = chooseTarget(file, flags, io);
  const known = await knownRules(flags, io);
  const chosen = withLike(await chosenRules(flags, known), MENDABLE, flags);
  const allow = mendable(flags.allowChange ?? [], known.rules);
  if ((aim === undefined) !== (up === undefined))
    throw new UsageError(
      '--aim and --up go together: name the axis along the bones and the up axis',
    );
  if (aim !== undefined && aim.index === up?.index)
    throw new UsageError('--aim and --up name the same axis; name two axes at right angles');
  // --only and --skip choose what is mended here, not what is checked.
  const { only: _, skip: __, ...rest } = flags;
  const path = resolve(io.cwd, file);
  const { settings, approved } = await heldTo(path, file, rest, flags.like, chosen, io);
  const ledger = await openLedgerRun(flags, settings, io);
  let result: MendResult;
  try {
    result = await mendAsset(path, settings, REPAIRS, {
      name: file,
      stem: target === null || inPlace ? null : withoutEnding(basename(target)),
      ...chosen,
      approved,
      allow,
      resample: flags.resample === true,
      pack: flags.pack === true,
      restFrom: flags.restFrom ?? null,
      convention: aim && up ? { aim, up } : null,
      ...(ledger !== null && { judge: (report, renames) => ledger.asset(report, renames) }),
    });
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    refuseGone(io);
    await tellFailure(io, file, 'mended', error);
    return EXIT.unreadable;
  }
  const { offending, isTurned, changes, after, renamed } = result;
  const places =
    target === null || offending !== null || !isTurned
      ? null
      : chooseFiles(target, file, io, flags, result);
  await writeText(io.stdout, mendText(result, io.columns));
  const failed = new FailedRules(io);
  await failed.add(after);
  const why = whyNotWritten(result, places !== null);
  if (why !== null) {
    await tell(io, `nothing was written: ${why}`);
    return EXIT.unsound;
  }
  if (places !== null) {
    const wrote = writeAll(places, path, flags, result);
    const { shown } = places;
    const names = renamed.size === 0 ? null : namesFile(shown);
    const mended = { file, out: inPlace ? null : shown, names };
    const ledgerWords =
      changes.length === 0 ? '' : takeLedgerAlong(mended, result, flags, settings.known, io);
    await tell(io, `${wrote}${ledgerWords}`);
  }
  return exitCode(after.verdict, failed.any);
}

/** Why the result of a mend is of no use; null where it can be written. */
function whyNotWritten(
  { after, changes, offending, isTurned }: MendResult,
  isToBeWritten: boolean,
): string | null {
  if (offending !== null) return 'it would change what is seen';
  if (!isTurned) return 'the rig is not turned';
  // A copy would be in the way of the next try, with a choice made or a change allowed.
  if (isToBeWritten && changes.length === 0 && after.verdict !== 'sound')
    return 'nothing was mended';
  return null;
}
