import { resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { counted } from '../../report/finding-words.js';
import type { Report } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { acceptEach, acceptPattern, type Ground } from '../../waivers/accept-findings.js';
import { assetViews } from '../../waivers/asset-view.js';
import { type Chosen, chooseFindings } from '../../waivers/choose-findings.js';
import { utcDay } from '../../waivers/day.js';
import { rebased } from '../../waivers/folders.js';
import { STAR_ITSELF } from '../../waivers/is-about.js';
import type { LedgerChange } from '../../waivers/ledger-text.js';
import { parseLedger } from '../../waivers/read-ledger.js';
import { EXIT } from '../exit-codes.js';
import { distOf, type Io } from '../io.js';
import { writeText } from '../output/write-output.js';
import { openLedger } from '../run/ledger-file.js';
import { chooseWork, NEVER, type WaiveFlags } from './waive-flags.js';
import { openReport, refuseStrange } from './waive-report.js';
import { tellAbsent, tellRest, tellUnreadable } from './waive-tells.js';
import { finish, type Waiving } from './waive-words.js';

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
  const work = await chooseWork(reportPath, flags, today);
  const report = reportPath === undefined ? null : await openReport(reportPath, io);
  const place = openLedger(flags.ledger, io.cwd, distOf(io));
  if (work !== 'add' && !place.isThere)
    throw new UsageError(
      `there is no ledger in this folder or a folder above; name one with --ledger`,
    );
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
  const { chosen, change, standing, written } = added(report, waiving);
  if (flags.all === true) await tellUnreadable(report, io);
  if (isNone(change)) {
    // With no day asked for, what is in force stays: some of it may end.
    const never = { ...waiving, flags: { ...flags, until: NEVER } };
    const ends = flags.until === undefined && !isNone(added(report, never).change);
    const lasting = ends
      ? '; to make them last longer, add --until DATE, or --until never'
      : ', for at least as long';
    await writeText(
      io.stderr,
      `trysquare: nothing to add to ${visible(place.shown)}: the ${counted(chosen.length, 'finding')} that you asked for ${chosen.length === 1 ? 'is' : 'are'} waived already${lasting}\n`,
    );
    return EXIT.sound;
  }
  await finish(waiving, change, 'add');
  await tellAbsent(
    written.map(({ asset }) => asset),
    waiving,
  );
  await tellRest(standing, flags, io);
  return EXIT.sound;
}

function isNone({ added, instead }: LedgerChange): boolean {
  return added.length === 0 && instead.size === 0;
}

/** What a run adds, and for what. */
interface Addition {
  readonly change: LedgerChange;
  readonly chosen: readonly Chosen[];
  /** Those that nothing waived when the report was made. */
  readonly standing: readonly Chosen[];
  /** Those that a waiver may be written for. */
  readonly written: readonly Chosen[];
}

function added(report: Report, { flags, place, ledger, today, io: { cwd } }: Waiving): Addition {
  const { rule, asset, joint, until } = flags;
  const all = flags.all === true;
  if (all && flags.level === undefined && report.failing === 'never')
    throw new UsageError(
      'no finding made an asset unsound, because the check ran with --failing never; add --level error',
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
    // All that stands is not given no end by the way: a day must be asked for.
    const extend = !all || until !== undefined;
    const options = { ground, today, folders, only, extend };
    const change = acceptEach(chosen, views, ledger, options);
    return { change, chosen, standing, written: extend ? chosen : standing };
  }
  const pattern = rebased(asset, folders);
  const change = acceptPattern(chosen, pattern, joint ?? null, ledger, { ground, today });
  return { change, chosen, standing: chosen, written: chosen };
}
