import type { LedgerReport } from '../../report/ledger-report.js';
import { PLAIN } from '../../report/paint.js';
import type { Totals } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import type { OutputFlags, Target } from './format.js';
import { isRead } from './formats/index.js';
import { writeText } from './write-output.js';

/** Tells on standard error of waivers that need a look, where no text report on the terminal does. */
export async function tellLedger(
  targets: readonly Target[],
  ledger: LedgerReport | null,
  flags: OutputFlags,
  io: Io,
): Promise<void> {
  if (ledger === null || isRead(targets)) return;
  const { makePen } = await import('../../report/text-pen.js');
  const { ledgerLines } = await import('../../report/waiver-words.js');
  const pen = makePen({ columns: Number.MAX_SAFE_INTEGER, paint: PLAIN });
  for (const line of ledgerLines(ledger, pen, flags.showWaivers === true))
    await writeText(io.stderr, `trysquare: ${line}\n`);
}

/** Says on standard error which files were written. */
export async function tellWritten(
  targets: readonly Target[],
  totals: Totals,
  io: Io,
): Promise<void> {
  const files = targets.filter(({ path }) => path !== null).map(({ shown }) => visible(shown));
  if (files.length === 0) return;
  const verb = files.length === 1 ? 'the report is' : 'the reports are';
  await writeText(
    io.stderr,
    `trysquare: ${verdictWords(totals)}; ${verb} in ${files.join(', ')}\n`,
  );
}

/** `3 sound, 1 unreadable`. */
function verdictWords({ verdicts }: Totals): string {
  const words = (['sound', 'unsound', 'unreadable'] as const)
    .filter((verdict) => verdicts[verdict] > 0)
    .map((verdict) => `${verdicts[verdict]} ${verdict}`);
  return words.length === 0 ? 'nothing checked' : words.join(', ');
}
