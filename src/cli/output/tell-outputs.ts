import { dirname } from 'node:path';
import { counted } from '../../report/finding-words.js';
import type { LedgerReport } from '../../report/ledger-report.js';
import { PLAIN } from '../../report/paint.js';
import type { Report, Totals } from '../../report/report-types.js';
import { isBelow } from '../../report/sarif-uri.js';
import { slashes } from '../../report/slashes.js';
import { countedVerdicts } from '../../report/verdicts.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { baseNames } from '../paths/base-folder.js';
import type { LedgerFlags } from '../run/ledger-use.js';
import type { OutputFlags, Target } from './format.js';
import { isRead } from './formats/index.js';
import { tell } from './write-output.js';

/** What is said of reports on standard error once they are written. */
export async function tellOutputs(
  targets: readonly Target[],
  { ledger, part, partial, totals }: Pick<Report, 'ledger' | 'part' | 'partial' | 'totals'>,
  paths: readonly string[],
  flags: OutputFlags & LedgerFlags,
  io: Io,
): Promise<void> {
  if (ledger !== null && !isRead(targets)) await tellLedger(ledger, flags, io);
  if (ledger !== null && part === null && partial === null) await tellIdleLedger(ledger, flags, io);
  if (flags.quiet === true) return;
  await tellOutside(paths, flags, io);
  await tellWritten(targets, totals, io);
}

/** Names waivers that need attention, where no text report on the terminal does. */
async function tellLedger(ledger: LedgerReport, flags: OutputFlags, io: Io): Promise<void> {
  const { makePen } = await import('../../report/text-pen.js');
  const { ledgerLines } = await import('../../report/waiver-words.js');
  const pen = makePen({ columns: Number.MAX_SAFE_INTEGER, paint: PLAIN });
  for (const line of ledgerLines(ledger, pen, flags.showWaivers === true)) await tell(io, line);
}

/**
 * Says that a ledger that was named has nothing to do with the run: most likely it was copied into
 * another folder, so that its paths lead elsewhere. One that was found is for other checks too.
 */
async function tellIdleLedger(
  { waivers, expired, unmatched, fitting }: LedgerReport,
  { ledger }: LedgerFlags,
  io: Io,
): Promise<void> {
  if (typeof ledger !== 'string' || waivers === 0) return;
  if (expired.length + unmatched.length + fitting.length > 0) return;
  const none = waivers === 1 ? 'its 1 waiver is not' : `none of its ${waivers} waivers is`;
  const folder = dirname(ledger);
  const where = folder === '.' ? 'this folder' : `the folder ${visible(folder)}`;
  await tell(
    io,
    `${visible(ledger)}: ${none} for an asset and a rule of this check; their paths are relative to ${where}`,
  );
}

/** Says which assets a service will not find, since they do not lie in the folder of `--base`. */
async function tellOutside(paths: readonly string[], flags: OutputFlags, io: Io): Promise<void> {
  if (flags.base === undefined) return;
  const names = baseNames(flags, io);
  const outside = paths.filter((path) => path !== '-' && !isBelow(path, slashes(io.cwd), names));
  const [first] = outside;
  if (first === undefined) return;
  const which =
    outside.length === 1
      ? `${visible(first)} does`
      : `${counted(outside.length, 'asset')}, the first ${visible(first)}, do`;
  await tell(
    io,
    `${which} not lie in the folder of --base, ${visible(flags.base)}, so a service cannot show where the findings are; name a folder above all assets`,
  );
}

/** Says which files were written: `3 sound, 1 unreadable; the report is in rigs.json`. */
async function tellWritten(
  targets: readonly Target[],
  { verdicts }: Totals,
  io: Io,
): Promise<void> {
  const files = targets.filter(({ path }) => path !== null).map(({ shown }) => visible(shown));
  if (files.length === 0) return;
  const counts = countedVerdicts(verdicts);
  const verb = files.length === 1 ? 'the report is' : 'the reports are';
  await tell(io, `${counts.join(', ') || 'nothing checked'}; ${verb} in ${files.join(', ')}`);
}
