import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import { whichOf } from '../../report/waiver-words.js';
import type { Ledger, Waiver, WaiverText } from '../../waivers/ledger.js';
import type { LedgerChange } from '../../waivers/ledger-text.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';
import { type LedgerPlace, writeLedger } from '../run/ledger-file.js';
import type { WaiveFlags } from './waive-flags.js';

/** What every work on a ledger is handed. */
export interface Waiving {
  readonly flags: WaiveFlags;
  readonly place: LedgerPlace;
  readonly ledger: Ledger;
  /** `YYYY-MM-DD` in UTC. */
  readonly today: string;
  readonly io: Io;
}

/** What is done with waivers that come, and how it is told when it is done. */
const DONE = {
  add: 'added',
  renew: 'renewed',
  'carry over': 'carried over',
  move: 'moved',
} as const;

/**
 * Writes a changed ledger, unless it is only to be shown, and says what changed: a line for each waiver
 * that is new or goes, and how many there are.
 *
 * @param work What is done with those that come.
 */
export async function finish(
  { flags, place, ledger, io }: Waiving,
  change: LedgerChange,
  work: keyof typeof DONE,
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
      told.push(`line ${old.line} removed: ${which(old)}\n`);
    }
    for (const waiver of waivers)
      told.push(`line ${lines.get(waiver)}: ${which(waiver)} (was line ${old.line})\n`);
  }
  for (const waiver of change.added) told.push(`line ${lines.get(waiver)}: ${which(waiver)}\n`);
  await writeText(io.stdout, told.join(''));
  const put = dry ? work : DONE[work];
  const parts = [
    ...(come > 0 ? [`${put} ${counted(come, 'waiver')}`] : []),
    ...(gone > 0 ? [`${dry ? 'remove' : 'removed'} ${counted(gone, 'waiver')}`] : []),
  ].join(' and ');
  const where = `${come > 0 ? 'in' : 'from'} ${visible(place.shown)}`;
  await writeText(
    io.stderr,
    dry
      ? `trysquare: this would ${parts} ${where}; nothing was written\n`
      : `trysquare: ${parts} ${where}\n`,
  );
}

/** What a waiver is about, on one line. */
export function which(waiver: WaiverText | Waiver): string {
  const { rule, asset, joint, accepted } = waiver;
  const keys = [...(accepted?.places?.keys() ?? [])];
  const others = Math.max(0, keys.length - 1);
  return visible(whichOf({ rule, asset, joint: keys[0] ?? joint, others }));
}
