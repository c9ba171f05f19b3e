import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Rule } from '../../kit/rule.js';
import { counted } from '../../report/finding-words.js';
import type { Report } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { whichOf } from '../../report/waiver-words.js';
import type { Chosen } from '../../waivers/choose-findings.js';
import type { Folders } from '../../waivers/folders.js';
import type { Ledger, Waiver, WaiverText } from '../../waivers/ledger.js';
import type { LedgerChange } from '../../waivers/ledger-text.js';
import type { Io } from '../io.js';
import { tell, writeText } from '../output/write-output.js';
import { type LedgerPlace, writeLedger } from '../run/ledger-file.js';
import type { WaiveFlags } from './waive-flags.js';

/** What every work on a ledger is handed. */
export interface Waiving {
  readonly flags: WaiveFlags;
  /** Every rule there is. */
  readonly rules: readonly Rule[];
  readonly place: LedgerPlace;
  readonly folders: Folders;
  readonly ledger: Ledger;
  /** `YYYY-MM-DD` in UTC. */
  readonly today: string;
  readonly io: Io;
}

/** What is done with new waivers, and the word for it when it is done. */
const DONE = { add: 'added', renew: 'renewed', 'carry over': 'carried over', move: 'moved' };

/**
 * Writes a changed ledger, unless it is only to be shown, and says what changed: a line for each waiver
 * that is new or goes, and how many there are.
 *
 * @param work What is done with the new ones.
 */
export async function writeChange(
  { flags, rules, place, ledger, io }: Waiving,
  change: LedgerChange,
  work: keyof typeof DONE,
): Promise<void> {
  const dry = flags.dryRun === true;
  const lines = writeLedger(place, ledger, change, !dry, rules);
  const texts: string[] = [];
  let [added, removed] = [change.added.length, 0];
  for (const [index, waivers] of change.instead) {
    added += waivers.length;
    const old = ledger.waivers[index];
    if (old === undefined) continue;
    if (waivers.length === 0) {
      removed++;
      texts.push(`line ${old.line} removed: ${subjectOf(old)}\n`);
    }
    for (const waiver of waivers)
      texts.push(`line ${lines.get(waiver)}: ${subjectOf(waiver)} (was line ${old.line})\n`);
  }
  for (const waiver of change.added)
    texts.push(`line ${lines.get(waiver)}: ${subjectOf(waiver)}\n`);
  await writeText(io.stdout, texts.join(''));
  const parts: string[] = [];
  if (added > 0) parts.push(`${dry ? work : DONE[work]} ${counted(added, 'waiver')}`);
  if (removed > 0) parts.push(`${dry ? 'remove' : 'removed'} ${counted(removed, 'waiver')}`);
  const where = `${added > 0 ? 'in' : 'from'} ${visible(place.shown)}`;
  const what = `${parts.join(' and ')} ${where}`;
  await tell(io, dry ? `this would ${what}; nothing was written` : what);
}

/** What a waiver is about, on one line. */
export function subjectOf({ rule, asset, joint, accepted }: WaiverText | Waiver): string {
  const [first = joint, ...others] = accepted?.places?.keys() ?? [];
  return visible(whichOf({ rule, asset, joint: first, others: others.length }));
}

/** Says what cannot be waived: who takes a library over should not learn of it from the next check. */
export async function tellUnreadable({ assets }: Report, io: Io): Promise<void> {
  const count = assets.filter(({ verdict }) => verdict === 'unreadable').length;
  if (count > 0)
    await tell(
      io,
      `${counted(count, 'asset')} of the report could not be read. This cannot be waived: mend or remove the files that the report names`,
    );
}

/** Waivers for missing assets fit nothing: most likely the report was made in another folder. */
export async function tellAbsent(assets: readonly string[], { flags, io }: Waiving): Promise<void> {
  const absent = [...new Set(assets)].filter((path) => !existsSync(resolve(io.cwd, path)));
  const [first] = absent;
  if (first === undefined) return;
  const more = absent.length === 1 ? '' : ` and ${absent.length - 1} more`;
  const ledger = flags.ledger === undefined ? '' : ` --ledger ${visible(flags.ledger)}`;
  const what = `there is no ${visible(first)}${more} in this folder`;
  await tell(
    io,
    flags.dryRun === true
      ? `${what}, where the waivers would expect it; run waive in the folder that the check ran in`
      : `the waivers were written, but ${what}. If the check ran in another folder, remove them with "trysquare waive --prune --gone${ledger}" and run waive in that folder`,
  );
}

/** Of a finding at several places, one joint may be waived; it still fails for the others. */
export async function tellRest(
  chosen: readonly Chosen[],
  { joint, asset }: WaiveFlags,
  io: Io,
): Promise<void> {
  if (joint === undefined || joint === '*' || asset === undefined) return;
  for (const { finding } of chosen) {
    const others = finding.places.filter(({ path }) => path !== joint);
    const [first] = others;
    if (first === undefined || others.length === finding.places.length) continue;
    const more = others.length === 1 ? '' : ` and ${counted(others.length - 1, 'more place')}`;
    await tell(
      io,
      `${finding.rule} reports ${visible(first.path)}${more} as the same fault, and these still count; leave out --joint to waive all of it`,
    );
  }
}
