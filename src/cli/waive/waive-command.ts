import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { counted } from '../../report/finding-words.js';
import { LONGEST_REPORT, parseReport, readReport } from '../../report/read-report.js';
import type { Report } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { acceptEach, acceptPattern } from '../../waivers/accept-findings.js';
import { assetViews } from '../../waivers/asset-view.js';
import { chooseFindings } from '../../waivers/choose-findings.js';
import { utcDay } from '../../waivers/day.js';
import { rebased } from '../../waivers/folders.js';
import type { LedgerChange } from '../../waivers/ledger-text.js';
import { STAR_ITSELF } from '../../waivers/place-key.js';
import { parseLedger } from '../../waivers/read-ledger.js';
import { EXIT } from '../exit-codes.js';
import { distOf, type Io } from '../io.js';
import { tell } from '../output/write-output.js';
import { readStdin } from '../read-stdin.js';
import { openLedger } from '../run/ledger-file.js';
import { knownRules } from '../run/own-rules.js';
import { unknownRule } from '../run/rule-names.js';
import { chooseWork, NEVER, type WaiveFlags } from './waive-flags.js';
import { tellAbsent, tellRest, tellUnreadable, type Waiving, writeChange } from './waive-words.js';

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
  const known = await knownRules(flags, io);
  const { rules } = known;
  const work = await chooseWork(reportPath, flags, today, known);
  const report = reportPath === undefined ? null : await openReport(reportPath, io);
  const place = openLedger(flags.ledger, io.cwd, distOf(io));
  if (work !== 'add' && !place.isThere)
    throw new UsageError(
      `there is no ledger in this folder or a folder above; name one with --ledger`,
    );
  const ledger = parseLedger(place.text, place.shown, place.folder, rules);
  const folders = { cwd: io.cwd, ledger: place.folder };
  const waiving: Waiving = { flags, rules, place, folders, ledger, today, io };
  const strange = report && unknownRule(report, rules);
  if (strange != null)
    throw new UsageError(
      `the report has a finding of ${strange}, a rule that this trysquare does not have; if it is a rule of your own, add --with FILE, else check again with this trysquare`,
    );
  if (work === 'add') return report === null ? EXIT.usage : add(report, waiving);
  const { runUpkeep } = await import('./waive-upkeep.js');
  await runUpkeep(work, waiving, report);
  return EXIT.sound;
}

/** Reads the report that a command names, `-` for standard input. Throws UsageError. */
async function openReport(path: string, io: Io): Promise<Report> {
  if (path !== '-') return readReport(resolve(io.cwd, path), path);
  const what = 'the report on standard input';
  const bytes = await readStdin(io, LONGEST_REPORT);
  if (bytes.length > LONGEST_REPORT)
    throw new UsageError(`${what} is too long (limit ${LONGEST_REPORT} bytes)`);
  return parseReport(bytes.toString('utf8'), what);
}

async function add(report: Report, waiving: Waiving): Promise<number> {
  const { flags, place, io } = waiving;
  const { chosen, change, unwaived, covered } = additionOf(report, waiving);
  if (flags.all === true) await tellUnreadable(report, io);
  if (isNone(change)) {
    // With no day asked for, what is in force stays: some of it may end.
    const never = { ...waiving, flags: { ...flags, until: NEVER } };
    const ends = flags.until === undefined && !isNone(additionOf(report, never).change);
    const lasting = ends
      ? '; to make them last longer, add --until DATE, or --until never'
      : ', for at least as long';
    await tell(
      io,
      `nothing to add to ${visible(place.shown)}: the ${counted(chosen.length, 'finding')} that you asked for ${chosen.length === 1 ? 'is' : 'are'} waived already${lasting}`,
    );
    return EXIT.sound;
  }
  await writeChange(waiving, change, 'add');
  const assets = covered.map(({ asset }) => asset);
  await tellAbsent(assets, waiving);
  await tellRest(unwaived, flags, io);
  return EXIT.sound;
}

function isNone({ added, instead }: LedgerChange): boolean {
  return added.length === 0 && instead.size === 0;
}

/**
 * What a run adds, and for which of the chosen findings: `unwaived` are those that nothing waived when
 * the report was made, `covered` those that a waiver may be written for.
 */
function additionOf(report: Report, { flags, folders, ledger, today, io: { cwd } }: Waiving) {
  const { rule, asset, joint, until, all = false } = flags;
  if (all && flags.level === undefined && report.failing === 'never')
    throw new UsageError(
      'no finding made an asset unsound, because the check ran with --failing never; add --level error',
    );
  const level = all ? (flags.level ?? report.failing) : null;
  const views = assetViews(report.assets, ledger, cwd);
  const chosen = chooseFindings(views, { rule, asset, joint, level }, cwd);
  const { why = '', by = '' } = flags;
  const ground = { why, by, until: until === undefined || until === NEVER ? null : until };
  const isPath =
    asset !== undefined &&
    chosen.some((finding) => resolve(cwd, finding.asset) === resolve(cwd, asset));
  if (asset !== undefined && !all && !isPath) {
    const pattern = rebased(asset, folders);
    const change = acceptPattern(chosen, pattern, joint ?? null, ledger, { ground, today });
    return { change, chosen, unwaived: chosen, covered: chosen };
  }
  const place = joint === undefined || joint === '*' ? null : joint;
  const only = place === STAR_ITSELF ? '*' : place;
  // `--all` must not make waivers last for ever by accident: it extends them only to a day that is given.
  const extend = !all || until !== undefined;
  const change = acceptEach(chosen, views, ledger, { ground, today, folders, only, extend });
  const unwaived = chosen.filter(({ finding }) => finding.waived === undefined);
  return { change, chosen, unwaived, covered: extend ? chosen : unwaived };
}
