import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { rules } from '../../rules/index.js';
import { UsageError } from '../asset/errors.js';
import { counted } from '../report/finding-words.js';
import type { Report } from '../report/report-types.js';
import { visible } from '../report/visible.js';
import { acceptEach, acceptPattern, type Ground } from '../waivers/accept-findings.js';
import { assetViews } from '../waivers/asset-view.js';
import { type Chosen, chooseFindings } from '../waivers/choose-findings.js';
import { utcDay } from '../waivers/day.js';
import { rebased } from '../waivers/folders.js';
import { STAR_ITSELF } from '../waivers/is-about.js';
import type { LedgerChange } from '../waivers/ledger-text.js';
import { parseLedger } from '../waivers/read-ledger.js';
import { EXIT } from './exit-codes.js';
import { distOf, type Io } from './io.js';
import { openLedger } from './ledger-file.js';
import { chooseWork, NEVER, type WaiveFlags } from './waive-flags.js';
import { openReport, refuseStrange } from './waive-report.js';
import { finish, type Waiving } from './waive-words.js';
import { writeText } from './write-output.js';

export type { WaiveFlags } from './waive-flags.js';

/**
 * `trysquare waive`: adds waivers for findings of a JSON report to the ledger, or keeps the ledger up.
 * Returns the exit code. Paths of the report are taken relative to the folder the command runs in, as
 * the check's were.
 */
export async function runWaive(
  reportPath: string | undefined,
  flags: WaiveFlags,
  io: Io,
): Promise<number> {
  const today = utcDay(io.clock());
  const work = chooseWork(reportPath, flags, today);
  const report = reportPath === undefined ? null : await openReport(reportPath, io);
  const place = openLedger(flags.ledger, io.cwd, distOf(io));
  if (work !== 'add' && !place.isThere)
    throw new UsageError(`there is no ledger from here up; name one with --ledger`);
  const ledger = parseLedger(place.text, place.shown, place.folder, rules);
  const waiving: Waiving = { flags, place, ledger, today, io };
  if (report !== null) refuseStrange(report);
  if (work !== 'add') {
    const { runUpkeep } = await import('./waive-upkeep.js');
    return runUpkeep(work, report, waiving);
  }
  return report === null ? EXIT.usage : add(report, waiving);
}

async function add(report: Report, waiving: Waiving): Promise<number> {
  const { flags, place, io } = waiving;
  const { chosen, change, standing } = added(report, waiving);
  if (flags.all === true) await tellUnreadable(report, io);
  if (change.added.length === 0 && change.instead.size === 0) {
    await writeText(
      io.stderr,
      `trysquare: nothing to add to ${visible(place.shown)}: all ${counted(chosen.length, 'finding')} asked for ${chosen.length === 1 ? 'is' : 'are'} waived already, for as long\n`,
    );
    return EXIT.sound;
  }
  await tellAbsent(
    standing.map(({ asset }) => asset),
    io,
  );
  await finish(waiving, change, 'added');
  await tellRest(standing, flags, io);
  return EXIT.sound;
}

/** What a run adds, and for what. */
function added(
  report: Report,
  { flags, place, ledger, today, io: { cwd } }: Waiving,
): { change: LedgerChange; chosen: readonly Chosen[]; standing: readonly Chosen[] } {
  const { rule, asset, joint, until } = flags;
  const all = flags.all === true;
  if (all && flags.level === undefined && report.failing === 'never')
    throw new UsageError(
      'no finding made an asset unsound, since the check ran with the failing level never; add --level error',
    );
  const level = all ? (flags.level ?? report.failing) : null;
  const views = assetViews(report.assets, ledger, cwd);
  const chosen = chooseFindings(views, { rule, asset, joint, level }, cwd);
  const standing = chosen.filter(({ finding }) => finding.waived === undefined);
  const ground: Ground = {
    why: flags.why ?? '',
    by: flags.by ?? '',
    until: until === undefined || until === NEVER ? null : until,
  };
  const folders = { cwd, ledger: place.folder };
  const isPath =
    asset !== undefined && chosen.some((item) => resolve(cwd, item.asset) === resolve(cwd, asset));
  if (all || isPath || asset === undefined) {
    const only = joint === undefined || joint === '*' ? null : joint === STAR_ITSELF ? '*' : joint;
    // A day that is asked for is to be had; without one, what is waived already stays as it is.
    const extend = !all || flags.until !== undefined;
    const options = { ground, today, folders, only, extend };
    return { change: acceptEach(chosen, views, ledger, options), chosen, standing };
  }
  const pattern = rebased(asset, folders);
  const change = acceptPattern(chosen, pattern, joint ?? null, ledger, { ground, today });
  return { change, chosen, standing: chosen };
}

/** Who takes a library over should not learn of these from the next check. */
async function tellUnreadable({ assets }: Report, io: Io): Promise<void> {
  const count = assets.filter(({ verdict }) => verdict === 'unreadable').length;
  if (count === 0) return;
  await writeText(
    io.stderr,
    `trysquare: ${counted(count, 'asset')} of the report could not be read, which cannot be waived: mend or remove what the report names\n`,
  );
}

/** Waivers of what is not there fit nothing: most likely the report was made in another folder. */
async function tellAbsent(assets: readonly string[], { cwd, stderr }: Io): Promise<void> {
  const absent = [...new Set(assets)].filter((path) => !existsSync(resolve(cwd, path)));
  const [first] = absent;
  if (first === undefined) return;
  const more = absent.length === 1 ? '' : ` and ${absent.length - 1} more`;
  await writeText(
    stderr,
    `trysquare: there is no ${visible(first)}${more} from here, and the waivers are for what lies there; run waive in the folder that the check ran in\n`,
  );
}

/** Of a finding at several places, one joint may be waived; it still fails for the others. */
async function tellRest(
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
      `trysquare: ${finding.rule} tells ${visible(first.path)}${more} as the same fault, which still fails; leave --joint away to waive all of it\n`,
    );
  }
}
