import type { LedgerReport } from '../../src/report/ledger-report.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { type LedgerOptions, ledgerRun } from '../../src/waivers/apply-ledger.js';
import type { Ledger } from '../../src/waivers/ledger.js';

/** Applies a ledger to assets that are all at hand. */
export function applyLedger(
  assets: readonly AssetReport[],
  ledger: Ledger,
  options: LedgerOptions,
): { readonly assets: AssetReport[]; readonly ledger: LedgerReport } {
  const run = ledgerRun(ledger, options);
  const applied = assets.map((asset) => run.asset(asset));
  return { assets: applied, ledger: run.end() };
}
