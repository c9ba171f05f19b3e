import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import { parseHouseText, readHouseText } from '../../house/house-file.js';
import { counted } from '../../report/finding-words.js';
import type { Report } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { Ground } from '../../waivers/accept-findings.js';
import { type AssetView, assetViews } from '../../waivers/asset-view.js';
import { chooseAssets, isAt } from '../../waivers/choose-findings.js';
import { isOfRule } from '../../waivers/is-of-rule.js';
import { holdsOn, type Waiver } from '../../waivers/ledger.js';
import type { LedgerChange } from '../../waivers/ledger-text.js';
import { movedLedger } from '../../waivers/move.js';
import { pruned } from '../../waivers/prune.js';
import { carriedOver, renewed } from '../../waivers/renew.js';
import { type RigRenames, renamesOfPaths } from '../../waivers/waiver-renames.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { writeText } from '../output/write-output.js';
import { NEVER, type Work } from './waive-flags.js';
import { finish, type Waiving, which } from './waive-words.js';

/** Renews, carries over, prunes or moves the waivers of a ledger. Returns the exit code. */
export async function runUpkeep(
  work: Exclude<Work, 'add'>,
  report: Report | null,
  waiving: Waiving,
): Promise<number> {
  const { ledger, io } = waiving;
  const views = report === null ? null : assetViews(report.assets, ledger, io.cwd);
  switch (work) {
    case 'renew':
      await renew(views ?? [], waiving);
      break;
    case 'carry-over':
      await carryOver(views ?? [], waiving);
      break;
    case 'prune':
      await prune(report, views, waiving);
      break;
    case 'move':
      await move(waiving);
  }
  return EXIT.sound;
}

async function renew(views: readonly AssetView[], waiving: Waiving): Promise<void> {
  const { flags, ledger, place, today, io } = waiving;
  const assets = new Set(chooseAssets(views, flags.asset, io.cwd));
  const endless = new Set<Waiver>();
  const change = renewed([...assets], ledger, {
    today,
    ...(flags.until !== undefined && { until: flags.until === NEVER ? null : flags.until }),
    folders: { cwd: io.cwd, ledger: place.folder },
    isWanted: ({ finding }) =>
      isOfRule(flags.rule, finding.rule) && isAt(flags.joint ?? null, finding),
    ground: (old): Ground => {
      if (flags.until === undefined && !holdsOn(old, today)) endless.add(old);
      const until = flags.until === undefined ? old.until : flags.until;
      const { why = old.why, by = old.by } = flags;
      return { why, by, until: until === NEVER ? null : until };
    },
  });
  if (endless.size > 0)
    throw new UsageError(
      `${counted(endless.size, 'waiver')} to be renewed ${endless.size === 1 ? 'has' : 'have'} a last day that is past (line ${[...endless][0]?.line}${endless.size > 1 ? ' and others' : ''}); give a new day with --until YYYY-MM-DD, or --until ${NEVER}`,
    );
  await conclude(
    waiving,
    change,
    'renew',
    `every finding of the report that has a waiver is already covered by it${flags.until === undefined ? '' : ', for at least as long'}`,
  );
}

async function carryOver(views: readonly AssetView[], waiving: Waiving): Promise<void> {
  const { ledger, place, today, io } = waiving;
  const folders = { cwd: io.cwd, ledger: place.folder };
  const old = ledger.waivers.filter(({ accepted }) => accepted === undefined);
  const change = carriedOver(views, ledger, { today, folders });
  await conclude(
    waiving,
    change,
    'carry over',
    'every waiver that it could carry over says what it accepted',
  );
  const told = new Set(views.flatMap(({ waivers }) => waivers));
  const left = old.filter((waiver) => !change.instead.has(ledger.waivers.indexOf(waiver)));
  await tellLeft(
    left.filter((waiver) => told.has(waiver)),
    'matches no finding of the report and was not changed; --prune removes it',
    io,
  );
  await tellLeft(
    left.filter((waiver) => !told.has(waiver)),
    'is for an asset that is not in the report, and was not changed',
    io,
  );
}

async function prune(
  report: Report | null,
  views: readonly AssetView[] | null,
  waiving: Waiving,
): Promise<void> {
  const { flags, ledger, today, io } = waiving;
  const assets = report?.assets ?? [];
  const measured = new Set(
    assets.flatMap(({ rigs }) => rigs.flatMap((rig) => rig.measured.map(({ rule }) => rule))),
  );
  const families = new Set(report?.families ?? []);
  const { change, left, gone } = pruned(ledger, views, {
    today,
    // Rules about whole assets are measured on no rig.
    ran: (id) =>
      measured.has(id) ||
      rules.some((rule) => rule.id === id && rule.scope === 'asset' && families.has(rule.family)),
    isThere: existsSync,
    takeGone: flags.gone === true,
  });
  const lost = flags.gone === true ? ' or is for an asset that does not exist any more' : '';
  const without =
    report === null
      ? ` is past its last day${lost}; with a report, --prune also finds waivers that match nothing`
      : ` is past its last day or matches nothing${lost}`;
  await conclude(waiving, change, 'add', `no waiver${without}`);
  await tellLeft(
    left,
    'matches nothing in this report, but its pattern may match other assets; it was not changed',
    io,
  );
  await tellLeft(gone, 'is for an asset that does not exist any more, and was not changed', io);
  if (gone.length > 0)
    await writeText(
      io.stderr,
      'trysquare: if the asset was moved or renamed, "trysquare waive --move OLD NEW" corrects the waivers; if not, "trysquare waive --prune --gone" removes them\n',
    );
}

async function move(waiving: Waiving): Promise<void> {
  const { flags, ledger, place, io } = waiving;
  const [from = '', to = ''] = flags.move ?? [];
  const folders = { cwd: io.cwd, ledger: place.folder };
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
  const { value } = parseHouseText(
    readHouseText(resolve(io.cwd, shown), what, LONGEST_NAMES),
    what,
  );
  const pairs = typeof value === 'object' && value !== null ? Object.entries(value) : [];
  const paths = new Map(
    pairs.flatMap(([old, now]: [string, unknown]) => (typeof now === 'string' ? [[old, now]] : [])),
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
  done: Parameters<typeof finish>[2],
  idle: string,
): Promise<void> {
  if (change.instead.size > 0 || change.added.length > 0) await finish(waiving, change, done);
  else
    await writeText(
      waiving.io.stderr,
      `trysquare: ${visible(`nothing to change in ${waiving.place.shown}: ${idle}`)}\n`,
    );
}

/** Waivers that are named one by one. */
const NAMED = 10;

async function tellLeft(waivers: readonly Waiver[], words: string, { stderr }: Io): Promise<void> {
  for (const waiver of waivers.slice(0, NAMED))
    await writeText(stderr, `trysquare: line ${waiver.line} ${visible(words)}: ${which(waiver)}\n`);
  const more = waivers.length - NAMED;
  if (more > 0)
    await writeText(stderr, `trysquare: the same is true of ${counted(more, 'more waiver')}\n`);
}
