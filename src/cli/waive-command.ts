import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { rules } from '../../rules/index.js';
import { UsageError } from '../asset/errors.js';
import type { Level } from '../kit/finding.js';
import { counted } from '../report/finding-words.js';
import { LONGEST_REPORT, parseReport } from '../report/read-report.js';
import type { Report } from '../report/report-types.js';
import { visible } from '../report/visible.js';
import { readHouseText } from '../standard/house-file.js';
import { chooseFindings } from '../waivers/choose-findings.js';
import { isDay, utcDay } from '../waivers/day.js';
import type { WaiverText } from '../waivers/ledger.js';
import { unknownRule } from '../waivers/ledger-faults.js';
import {
  type Ground,
  oneEach,
  outlived,
  patternOf,
  rebased,
  sameInLedger,
} from '../waivers/new-waivers.js';
import { parseLedger } from '../waivers/read-ledger.js';
import { EXIT } from './exit-codes.js';
import { distOf, type Io } from './io.js';
import { type LedgerPlace, openLedger, writeLedger } from './ledger-file.js';
import { writeText } from './write-output.js';

export interface WaiveFlags {
  readonly rule?: string;
  readonly asset?: string;
  readonly joint?: string;
  readonly all?: boolean;
  readonly level?: Level;
  readonly why: string;
  readonly by: string;
  readonly until?: string;
  readonly ledger?: string;
}

/**
 * `trysquare waive`: adds waivers for findings of a JSON report to the ledger. Returns the exit
 * code. Paths of the report are taken relative to the folder the command runs in, as the check's
 * were.
 */
export async function runWaive(reportPath: string, flags: WaiveFlags, io: Io): Promise<number> {
  const today = utcDay(io.clock());
  refuseMisuse(flags, today);
  const what = reportPath === '-' ? 'the report on standard input' : `the report ${reportPath}`;
  const text =
    reportPath === '-'
      ? await readInput(io, what)
      : readHouseText(resolve(io.cwd, reportPath), what, LONGEST_REPORT);
  const report = parseReport(text, what);
  const place = openLedger(flags.ledger, io.cwd, distOf(io));
  const added = waiversFor(report, flags, place, today, io.cwd);
  if (flags.all === true) await tellUnreadable(report, io);
  if (typeof added !== 'string') await tellAbsent(added.assets, io);
  if (typeof added === 'string') {
    await writeText(io.stderr, `trysquare: nothing to add to ${visible(place.shown)}: ${added}\n`);
    return EXIT.sound;
  }
  const { waivers, spent } = added;
  const lines = writeLedger(place, waivers);
  await writeText(
    io.stdout,
    waivers
      .map(({ rule, asset, joint }, at) => {
        const where = visible(joint === null ? asset : `${asset} at ${joint}`);
        return `line ${lines[at]}: ${rule} in ${where}\n`;
      })
      .join(''),
  );
  await writeText(
    io.stderr,
    `trysquare: added ${counted(waivers.length, 'waiver')} to ${visible(place.shown)}\n`,
  );
  for (const { rule, until } of spent)
    await writeText(
      io.stderr,
      `trysquare: ${visible(place.shown)} waives the same ${rule} until ${until} as well; that waiver can go\n`,
    );
  return EXIT.sound;
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

function refuseMisuse(
  { rule, asset, all, level, why, by, until }: WaiveFlags,
  today: string,
): void {
  if (all !== true && (rule === undefined || asset === undefined))
    throw new UsageError(
      rule !== undefined
        ? 'name the asset too, with --asset, or add --all to waive what makes an asset unsound in any of them'
        : 'name what to waive with --rule and --asset, or take everything that makes an asset unsound with --all',
    );
  if (all !== true && level !== undefined)
    throw new UsageError('--level says how far down --all goes; add --all');
  if (rule !== undefined && !rules.some(({ id }) => id === rule))
    throw new UsageError(`--rule: ${unknownRule(rule, rules)}`);
  for (const [option, value] of [
    ['--why', why],
    ['--by', by],
  ] as const)
    if (value.trim() === '') throw new UsageError(`${option} is blank; fill it in`);
  if (until === undefined) return;
  if (!isDay(until))
    throw new UsageError(`--until ${until} is no day that a calendar has; write it as YYYY-MM-DD`);
  if (until < today)
    throw new UsageError(`--until ${until} is past: today is ${today} in UTC; name a later day`);
}

/** What is to be added to the ledger. */
interface Added {
  readonly waivers: readonly WaiverText[];
  /** Waivers in the ledger that are of no more use. */
  readonly spent: readonly WaiverText[];
  /** Paths of the assets that are waived something, as in the report. */
  readonly assets: readonly string[];
}

/** The waivers to add, or why there are none. */
function waiversFor(
  report: Report,
  flags: WaiveFlags,
  { text, shown, folder }: LedgerPlace,
  today: string,
  cwd: string,
): Added | string {
  const ledger = parseLedger(text, shown, folder, rules);
  const ground: Ground = { why: flags.why, by: flags.by, until: flags.until ?? null };
  const folders = { cwd, ledger: folder };
  const { rule, asset, joint } = flags;
  const all = flags.all === true;
  if (all && flags.level === undefined && report.failing === 'never')
    throw new UsageError(
      'no finding made an asset unsound, since the check ran with the failing level never; add --level error',
    );
  const level = all ? (flags.level ?? report.failing) : null;
  const chosen = chooseFindings(report, { rule, asset, joint, level }, cwd);
  const strange = chosen.find(({ finding }) => !rules.some(({ id }) => id === finding.rule));
  if (strange !== undefined)
    throw new UsageError(
      `the report has a finding of ${strange.finding.rule}, a rule that this trysquare does not have; check again with this trysquare`,
    );
  if (all || rule === undefined || asset === undefined) {
    const standing = chosen.filter(({ finding }) => finding.waived === undefined);
    const waivers = oneEach(standing, ledger, ground, today, folders);
    return waivers.length === 0
      ? `all ${chosen.length} findings asked for are waived already`
      : {
          waivers,
          spent: outlived(ledger, waivers),
          assets: standing.map((item) => item.asset),
        };
  }
  const isPath = chosen.some((item) => resolve(cwd, item.asset) === resolve(cwd, asset));
  const pattern = isPath ? patternOf(asset, folders) : rebased(asset, folders);
  const waiver = { rule, asset: pattern, joint: joint ?? null, ...ground };
  const same = sameInLedger(ledger, waiver);
  return same === undefined
    ? {
        waivers: [waiver],
        spent: outlived(ledger, [waiver]),
        assets: chosen.map((item) => item.asset),
      }
    : `its line ${same.line} waives the same for as long`;
}

async function readInput(io: Io, what: string): Promise<string> {
  const parts: Buffer[] = [];
  let total = 0;
  for await (const part of io.stdin) {
    const bytes = Buffer.from(part);
    parts.push(bytes);
    total += bytes.byteLength;
    if (total > LONGEST_REPORT)
      throw new UsageError(`${what} is too long (limit ${LONGEST_REPORT} bytes)`);
  }
  return Buffer.concat(parts).toString('utf8');
}
