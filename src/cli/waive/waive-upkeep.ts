import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { isRecord, parseHouseText, readHouseText } from '../../house/house-file.js';
import { counted } from '../../report/finding-words.js';
import type { Report } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { Ground } from '../../waivers/accept-findings.js';
import { type AssetView, assetViews } from '../../waivers/asset-view.js';
import { chooseAssets, isAt, isOfRule } from '../../waivers/choose-findings.js';
import { holdsOn, type Waiver } from '../../waivers/ledger.js';
import type { LedgerChange } from '../../waivers/ledger-text.js';
import { movedLedger } from '../../waivers/move.js';
import { pruned } from '../../waivers/prune.js';
import { carriedOver, renewed } from '../../waivers/renew.js';
import { type RigRenames, renamesOfPaths } from '../../waivers/waiver-renames.js';
import type { Io } from '../io.js';
import { tell } from '../output/write-output.js';
import { NEVER, type Work } from './waive-flags.js';
import { subjectOf, type Waiving, writeChange } from './waive-words.js';

/** Renews, carries over, prunes or moves the waivers of a ledger. */
export function runUpkeep(
  work: Exclude<Work, 'add'>,
  waiving: Waiving,
  report: Report | null,
): Promise<void> {
  const views = assetViews(report?.assets ?? [], waiving.ledger, waiving.io.cwd);
  if (work === 'renew') return renew(waiving, views);
  if (work === 'carry-over') return carryOver(waiving, views);
  return work === 'prune' ? prune(waiving, views, report) : move(waiving);
}

async function renew(waiving: Waiving, views: readonly AssetView[]): Promise<void> {
  const { flags, folders, ledger, today, io } = waiving;
  const assets = new Set(chooseAssets(views, flags.asset, io.cwd));
  const until = flags.until === NEVER ? null : flags.until;
  const ended = new Set<Waiver>();
  const change = renewed([...assets], ledger, {
    today,
    folders,
    ...(until !== undefined && { until }),
    isWanted: ({ finding }) =>
      isOfRule(flags.rule, finding.rule) && isAt(flags.joint ?? null, finding),
    ground: (old): Ground => {
      if (until === undefined && !holdsOn(old, today)) ended.add(old);
      const { why = old.why, by = old.by } = flags;
      return { why, by, until: until === undefined ? old.until : until };
    },
  });
  const [first] = ended;
  if (first !== undefined) {
    const [has, others] = ended.size === 1 ? ['has', ''] : ['have', ' and others'];
    throw new UsageError(
      `${counted(ended.size, 'waiver')} to be renewed ${has} a last day that is past (line ${first.line}${others}); give a new day with --until YYYY-MM-DD, or --until ${NEVER}`,
    );
  }
  const lasting = until === undefined ? '' : ', for at least as long';
  const idle = `every finding of the report that has a waiver is already covered by it${lasting}`;
  await conclude(waiving, change, 'renew', idle);
}

async function carryOver(waiving: Waiving, views: readonly AssetView[]): Promise<void> {
  const { folders, ledger, today, io } = waiving;
  const change = carriedOver(views, ledger, { today, folders });
  const idle = 'every waiver that it could carry over says what it accepted';
  await conclude(waiving, change, 'carry over', idle);
  const inReport = new Set(views.flatMap(({ waivers }) => waivers));
  const left = ledger.waivers.filter(
    ({ accepted }, index) => accepted === undefined && !change.instead.has(index),
  );
  const unmatched = left.filter((waiver) => inReport.has(waiver));
  const others = left.filter((waiver) => !inReport.has(waiver));
  const matchesNone = 'matches no finding of the report and was not changed; --prune removes it';
  await tellLeft(unmatched, matchesNone, io);
  await tellLeft(others, 'is for an asset that is not in the report, and was not changed', io);
}

async function prune(
  waiving: Waiving,
  views: readonly AssetView[],
  report: Report | null,
): Promise<void> {
  const { flags, rules, ledger, today, io } = waiving;
  const takeGone = flags.gone === true;
  const rigs = report?.assets.flatMap((asset) => asset.rigs) ?? [];
  const measured = new Set(rigs.flatMap((rig) => rig.measured.map(({ rule }) => rule)));
  // What a rule would have found where it failed is not known.
  const failed = new Set(
    report?.assets.flatMap((asset) => asset.failed ?? []).map(({ rule }) => rule),
  );
  const families = new Set(report?.families);
  // Rules about whole assets are measured on no rig.
  const ofAssets = rules.filter(({ scope, family }) => scope === 'asset' && families.has(family));
  const { change, left, gone } = pruned(ledger, report === null ? null : views, {
    today,
    ran: (id) => !failed.has(id) && (measured.has(id) || ofAssets.some((rule) => rule.id === id)),
    isThere: existsSync,
    takeGone,
  });
  const lost = takeGone ? ' or is for an asset that does not exist any more' : '';
  const idle =
    report === null
      ? `no waiver is past its last day${lost}; with a report, --prune also finds waivers that match nothing`
      : `no waiver is past its last day or matches nothing${lost}`;
  await conclude(waiving, change, 'add', idle);
  await tellLeft(
    left,
    'matches nothing in this report, but its pattern may match other assets; it was not changed',
    io,
  );
  await tellLeft(gone, 'is for an asset that does not exist any more, and was not changed', io);
  if (gone.length > 0)
    await tell(
      io,
      'if the asset was moved or renamed, "trysquare waive --move OLD NEW" corrects the waivers; if not, "trysquare waive --prune --gone" removes them',
    );
}

async function move(waiving: Waiving): Promise<void> {
  const { flags, folders, ledger, io } = waiving;
  const [from = '', to = ''] = flags.move ?? [];
  const renames = flags.names === undefined ? [] : readNames(flags.names, io);
  const { change, left } = movedLedger(ledger, from, to, folders, renames);
  await conclude(waiving, change, 'move', `no waiver is for ${from}, or for what is below it`);
  await tellLeft(left, `has a pattern that matches ${from} but not ${to}; correct it by hand`, io);
}

/** Bytes of a file of names: some hundred thousand joints. */
const LONGEST_NAMES = 1 << 24;

/** The old and new paths of joints that a mend wrote beside its result. Throws UsageError. */
function readNames(shown: string, io: Io): RigRenames[] {
  const what = `the names ${visible(shown)}`;
  const text = readHouseText(resolve(io.cwd, shown), what, LONGEST_NAMES);
  const { value } = parseHouseText(text, what);
  const pairs = isRecord(value) ? Object.entries(value) : [];
  const paths = new Map(
    pairs.flatMap(([old, renamed]) => (typeof renamed === 'string' ? [[old, renamed]] : [])),
  );
  if (paths.size === 0 || paths.size < pairs.length)
    throw new UsageError(
      `${what} does not list paths of joints, old to new, as "trysquare mend" writes them`,
    );
  return renamesOfPaths(paths);
}

/** Writes what changes, or says that nothing does. */
async function conclude(
  waiving: Waiving,
  change: LedgerChange,
  work: Parameters<typeof writeChange>[2],
  idle: string,
): Promise<void> {
  if (change.instead.size > 0 || change.added.length > 0) return writeChange(waiving, change, work);
  await tell(waiving.io, visible(`nothing to change in ${waiving.place.shown}: ${idle}`));
}

/** Waivers that are named one by one. */
const NAMED = 10;

async function tellLeft(waivers: readonly Waiver[], words: string, io: Io): Promise<void> {
  for (const waiver of waivers.slice(0, NAMED))
    await tell(io, `line ${waiver.line} ${visible(words)}: ${subjectOf(waiver)}`);
  const more = waivers.length - NAMED;
  if (more > 0) await tell(io, `the same is true of ${counted(more, 'more waiver')}`);
}
