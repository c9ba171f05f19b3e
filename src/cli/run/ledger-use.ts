import { existsSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { rulesToRun, type Settings } from '../../check/settings.js';
import { slashes } from '../../report/slashes.js';
import { visible } from '../../report/visible.js';
import type { LedgerRun } from '../../waivers/apply-ledger.js';
import { findLedger } from '../../waivers/ledger.js';
import type { Io } from '../io.js';
import { locate } from './choose-settings.js';

/** Options about the ledger: a file, false for none, else the nearest one upward. */
export interface LedgerFlags {
  readonly ledger?: string | boolean;
}

/**
 * The ledger that a check is held to, ready to be applied; null when there is none. An asset is reported
 * as gone only where `paths`, which the run was given, has a folder that it lay in.
 */
export async function openLedgerRun(
  { ledger: named }: LedgerFlags,
  settings: Settings,
  io: Pick<Io, 'cwd' | 'clock'>,
  paths: readonly string[] = [],
): Promise<LedgerRun | null> {
  const file = locate(named, findLedger, io.cwd);
  if (file === null) return null;
  const { path, shown } = file;
  if (shown === '') throw new UsageError(`--ledger names a folder, ${visible(path)}`);
  const { readLedger } = await import('../../waivers/read-ledger.js');
  const { ledgerRun } = await import('../../waivers/apply-ledger.js');
  const { utcDay } = await import('../../waivers/day.js');
  return ledgerRun(readLedger(path, shown, settings.known), {
    today: utcDay(io.clock()),
    base: io.cwd,
    failing: settings.failing,
    ran: rulesToRun(settings).map((rule) => rule.id),
    isGone: goneFrom(paths, io.cwd),
  });
}

/** Whether an asset is gone from the folders among the paths given. */
function goneFrom(paths: readonly string[], cwd: string): (path: string) => boolean {
  const folders = paths
    .map((path) => resolve(cwd, path))
    .filter((path) => statSync(path, { throwIfNoEntry: false })?.isDirectory() === true)
    .map((path) => `${slashes(path).replace(/\/+$/, '')}/`);
  return (path) => folders.some((folder) => path.startsWith(folder)) && !existsSync(path);
}
