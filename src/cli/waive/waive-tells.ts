import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { counted } from '../../report/finding-words.js';
import type { Report } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { Chosen } from '../../waivers/choose-findings.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';
import type { WaiveFlags } from './waive-flags.js';
import type { Waiving } from './waive-words.js';

/** Who takes a library over should not learn of these from the next check. */
export async function tellUnreadable({ assets }: Report, io: Io): Promise<void> {
  const count = assets.filter(({ verdict }) => verdict === 'unreadable').length;
  if (count === 0) return;
  await writeText(
    io.stderr,
    `trysquare: ${counted(count, 'asset')} of the report could not be read. This cannot be waived: mend or remove the files that the report names\n`,
  );
}

/** Waivers of what is not there fit nothing: most likely the report was made in another folder. */
export async function tellAbsent(
  assets: readonly string[],
  { flags, io: { cwd, stderr } }: Waiving,
): Promise<void> {
  const absent = [...new Set(assets)].filter((path) => !existsSync(resolve(cwd, path)));
  const [first] = absent;
  if (first === undefined) return;
  const more = absent.length === 1 ? '' : ` and ${absent.length - 1} more`;
  const ledger = flags.ledger === undefined ? '' : ` --ledger ${visible(flags.ledger)}`;
  await writeText(
    stderr,
    flags.dryRun === true
      ? `trysquare: there is no ${visible(first)}${more} in this folder, where the waivers would expect it; run waive in the folder that the check ran in\n`
      : `trysquare: the waivers were written, but there is no ${visible(first)}${more} in this folder. If the check ran in another folder, remove them with "trysquare waive --prune --gone${ledger}" and run waive in that folder\n`,
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
    await writeText(
      io.stderr,
      `trysquare: ${finding.rule} reports ${visible(first.path)}${more} as the same fault, and these still count; leave out --joint to waive all of it\n`,
    );
  }
}
