import { dirname } from 'node:path';
import type { LedgerReport } from '../../report/ledger-report.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';
import type { LedgerFlags } from '../run/ledger-use.js';

/**
 * Says that a ledger that was named has nothing to do with the run: most likely it was copied into
 * another folder, so that its paths lead elsewhere. One that was found is for other checks too.
 */
export async function tellIdleLedger(
  report: LedgerReport | null,
  { ledger }: LedgerFlags,
  { stderr }: Io,
): Promise<void> {
  if (report === null || typeof ledger !== 'string' || report.waivers === 0) return;
  const { expired, unmatched, fitting } = report;
  if (expired.length + unmatched.length + fitting.length > 0) return;
  const none =
    report.waivers === 1 ? 'its 1 waiver is not' : `none of its ${report.waivers} waivers is`;
  const folder = dirname(ledger);
  const where = folder === '.' ? 'this folder' : `the folder ${visible(folder)}`;
  await writeText(
    stderr,
    `trysquare: ${visible(ledger)}: ${none} for an asset and a rule of this check; their paths are relative to ${where}\n`,
  );
}
