import { counted } from '../report/finding-words.js';
import { visible } from '../report/visible.js';
import { whichOf } from '../report/waiver-words.js';
import type { Ledger, Waiver, WaiverText } from '../waivers/ledger.js';
import type { LedgerChange } from '../waivers/ledger-text.js';
import type { Io } from './io.js';
import { type LedgerPlace, writeLedger } from './ledger-file.js';
import type { WaiveFlags } from './waive-flags.js';
import { writeText } from './write-output.js';

/** What every work on a ledger is handed. */
export interface Waiving {
  readonly flags: WaiveFlags;
  readonly place: LedgerPlace;
  readonly ledger: Ledger;
  /** `YYYY-MM-DD` in UTC. */
  readonly today: string;
  readonly io: Io;
}

/**
 * Writes a changed ledger, unless it is only to be shown, and says what changed: a line for each waiver
 * that is new or goes, and how many there are.
 *
 * @param done What was done with those that come: `added`, `renewed`.
 */
export async function finish(
  { flags, place, ledger, io }: Waiving,
  change: LedgerChange,
  done: string,
): Promise<void> {
  const dry = flags.dryRun === true;
  const lines = writeLedger(place, ledger, change, !dry);
  const told: string[] = [];
  let [come, gone] = [change.added.length, 0];
  for (const [index, waivers] of change.instead) {
    come += waivers.length;
    const old = ledger.waivers[index];
    if (old === undefined) continue;
    if (waivers.length === 0) {
      gone++;
      told.push(`line ${old.line} taken out: ${which(old)}\n`);
    }
    for (const waiver of waivers)
      told.push(`line ${lines.get(waiver)}: ${which(waiver)} (was line ${old.line})\n`);
  }
  for (const waiver of change.added) told.push(`line ${lines.get(waiver)}: ${which(waiver)}\n`);
  await writeText(io.stdout, told.join(''));
  const parts = [
    ...(come > 0 ? [`${done} ${counted(come, 'waiver')}`] : []),
    ...(gone > 0 ? [`took out ${counted(gone, 'waiver')}`] : []),
  ].join(' and ');
  await writeText(
    io.stderr,
    dry
      ? `trysquare: nothing is written; without --dry-run: ${parts} in ${visible(place.shown)}\n`
      : `trysquare: ${parts} in ${visible(place.shown)}\n`,
  );
}

/** What a waiver is about, on one line. */
export function which(waiver: WaiverText | Waiver): string {
  const { rule, asset, joint, accepted } = waiver;
  const keys = [...(accepted?.places?.keys() ?? [])];
  const others = Math.max(0, keys.length - 1);
  return visible(whichOf({ rule, asset, joint: keys[0] ?? joint, others }));
}
