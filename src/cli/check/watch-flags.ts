import { UsageError } from '../../asset/errors.js';
import type { OutputFlags } from '../output/format.js';
import { DEFAULT_FORMAT } from '../output/formats/index.js';
import type { SettingsFlags } from '../run/choose-settings.js';
import type { LedgerFlags } from '../run/ledger-use.js';
import type { WorkerFlags } from '../run/workers.js';

/** Options that a watched check goes by. */
export type WatchFlags = SettingsFlags &
  LedgerFlags &
  OutputFlags &
  Pick<WorkerFlags, 'timeLimit'> & { readonly without?: readonly string[] };

/** Refuses what does not go with watching. Throws UsageError. */
export function refuseUnwatchable(paths: readonly string[], flags: WatchFlags): void {
  if (paths.includes('-'))
    throw new UsageError('standard input cannot be watched; name files or folders');
  if (flags.out !== undefined || (flags.format ?? DEFAULT_FORMAT.name) !== DEFAULT_FORMAT.name)
    throw new UsageError('--watch writes text to standard output; leave out --out and --format');
}
