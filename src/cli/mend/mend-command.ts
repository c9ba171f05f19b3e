import { basename, resolve } from 'node:path';
import { AssetError, UsageError } from '../../asset/errors.js';
import { type MendResult, mendAsset } from '../../mend/mend-asset.js';
import { REPAIRS } from '../../mend/repairs.js';
import { visible } from '../../report/visible.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';
import { refuseGone } from '../paths/working-folder.js';
import { chooseSettings } from '../run/choose-settings.js';
import { openLedgerRun } from '../run/ledger-use.js';
import { chooseFiles, namesFile, withoutEnding, writeAll } from './mend-files.js';
import type { MendFlags } from './mend-flags.js';
import { takeLedgerAlong } from './mend-ledger.js';
import { chosenRules, mendable } from './mend-rules.js';
import { chooseTarget } from './mend-target.js';
import { mendText } from './mend-words.js';

/** `trysquare mend`: mends one asset, proves that nothing visible changed, and writes it. Returns the exit code. */
export async function runMend(file: string, flags: MendFlags, io: Io): Promise<number> {
  const target = chooseTarget(file, flags, io);
  const only = await chosenRules(flags);
  const allow = mendable(flags.allowChange ?? []);
  if ((flags.aim === undefined) !== (flags.up === undefined))
    throw new UsageError(
      '--aim and --up go together: name the axis along the bones and the up axis',
    );
  if (flags.aim !== undefined && flags.aim.index === flags.up?.index)
    throw new UsageError('--aim and --up name the same axis; name two axes at right angles');
  const { settings } = await chooseSettings(
    flags.standard === undefined ? {} : { standard: flags.standard },
    io,
  );
  const path = resolve(io.cwd, file);
  const ledger = await openLedgerRun(flags, settings, io);
  let result: MendResult;
  try {
    result = await mendAsset(path, settings, REPAIRS, {
      name: file,
      stem: target === null || flags.inPlace === true ? null : withoutEnding(basename(target)),
      only,
      allow,
      resample: flags.resample === true,
      pack: flags.pack === true,
      restFrom: flags.restFrom ?? null,
      convention: flags.aim && flags.up ? { aim: flags.aim, up: flags.up } : null,
      ...(ledger !== null && { judge: (report, renames) => ledger.asset(report, renames) }),
    });
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    refuseGone(io);
    const where = error.where === null ? '' : ` (at ${error.where})`;
    await writeText(
      io.stderr,
      `trysquare: ${visible(`${file} cannot be mended: ${error.reason}${where}`)}\n`,
    );
    return EXIT.unreadable;
  }
  const { isTurned } = result;
  const places =
    target === null || result.offending !== null || !isTurned
      ? null
      : chooseFiles(target, file, io.cwd, flags, result);
  await writeText(io.stdout, mendText(result, io.columns));
  if (result.offending !== null)
    return tellNothing(io, 'it would change what is seen', EXIT.unsound);
  if (!isTurned) return tellNothing(io, 'the rig is not turned', EXIT.unsound);
  if (isWorse(result, flags))
    return tellNothing(
      io,
      'the mended file would have errors that this file does not have; they are marked as new',
      EXIT.unsound,
    );
  if (places === null) return verdictCode(result);
  // A copy would stand in the way of the next try, with a choice made or a change allowed.
  if (result.changes.length === 0 && result.after.verdict !== 'sound')
    return tellNothing(io, 'nothing was mended', EXIT.unsound);
  const wrote = writeAll(places, path, flags, result);
  const { shown } = places;
  const names = result.renamed.size === 0 ? null : namesFile(shown);
  const ledgerWords =
    result.changes.length === 0
      ? ''
      : takeLedgerAlong(
          { file, out: flags.inPlace === true ? null : shown, names },
          result,
          flags,
          io,
        );
  await writeText(io.stderr, `trysquare: ${wrote}${ledgerWords}\n`);
  return verdictCode(result);
}

/** Whether a sound file would come out unsound although nobody asked for anything that makes it another. */
function isWorse({ before, after }: MendResult, flags: MendFlags): boolean {
  const { restFrom, allowChange, aim } = flags;
  const isAsked = restFrom !== undefined || allowChange !== undefined || aim !== undefined;
  return !isAsked && before.verdict === 'sound' && after.verdict === 'unsound';
}

async function tellNothing(io: Io, why: string, code: number): Promise<number> {
  await writeText(io.stderr, `trysquare: nothing was written: ${why}\n`);
  return code;
}

function verdictCode({ after }: MendResult): number {
  return after.verdict === 'sound' ? EXIT.sound : EXIT.unsound;
}
