import { resolve } from 'node:path';
import { rulesToRun, type Settings } from '../check/settings.js';
import { type LedgerRun, ledgerRun } from '../waivers/apply-ledger.js';
import { utcDay } from '../waivers/day.js';
import { readLedger } from '../waivers/read-ledger.js';

/**
 * A ledger of waivers, ready to be applied to the reports of a run, one by one. Throws UsageError when
 * the file is wrong.
 *
 * @param settings Those of the run, which know the rules that the ledger names.
 * @param options.base The folder that the paths of the reports are relative to.
 */
export function openLedger(
  path: string,
  settings: Settings,
  { base = process.cwd(), now = new Date() }: { readonly base?: string; readonly now?: Date } = {},
): LedgerRun {
  return ledgerRun(readLedger(resolve(path), path, settings.known), {
    today: utcDay(now),
    base,
    failing: settings.failing,
    ran: rulesToRun(settings).map(({ id }) => id),
  });
}
