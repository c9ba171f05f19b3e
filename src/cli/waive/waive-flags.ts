import { UsageError } from '../../asset/errors.js';
import type { Level } from '../../kit/finding.js';
import { isDay } from '../../waivers/day.js';
import type { KnownRules } from '../run/own-rules.js';
import { refuseUnknownRules } from '../run/rule-names.js';

export interface WaiveFlags {
  readonly rule?: string;
  readonly asset?: string;
  readonly joint?: string;
  readonly all?: boolean;
  readonly level?: Level;
  readonly why?: string;
  readonly by?: string;
  readonly until?: string;
  readonly renew?: boolean;
  readonly carryOver?: boolean;
  readonly prune?: boolean;
  readonly gone?: boolean;
  readonly move?: readonly string[];
  readonly names?: string;
  readonly dryRun?: boolean;
  readonly ledger?: string;
  readonly with?: readonly string[];
}

/** What `trysquare waive` is to do with the ledger. */
export type Work = 'add' | 'renew' | 'carry-over' | 'prune' | 'move';

/** How `--until` says that a waiver has no end. */
export const NEVER = 'never';

const CHOICE = ['rule', 'asset', 'joint'] as const;
const GROUND = ['why', 'by', 'until'] as const;

/** Options that only some works take, besides a report, a ledger and `--dry-run`. */
const OPTIONS = [...CHOICE, 'all', 'level', ...GROUND, 'names', 'gone'] as const;

const TAKES: Readonly<Record<Work, readonly (typeof OPTIONS)[number][]>> = {
  add: [...CHOICE, 'all', 'level', ...GROUND],
  renew: [...CHOICE, ...GROUND],
  'carry-over': [],
  prune: ['gone'],
  move: ['names'],
};

/** The work that the options ask for. Throws UsageError for what does not go together. */
export async function chooseWork(
  report: string | undefined,
  flags: WaiveFlags,
  today: string,
  known: KnownRules,
): Promise<Work> {
  const wanted = (['renew', 'carry-over', 'prune', 'move'] as const).filter((work) =>
    work === 'carry-over' ? flags.carryOver === true : flags[work] !== undefined,
  );
  const [work = 'add', other] = wanted;
  if (other !== undefined)
    throw new UsageError(
      `--${work} and --${other} cannot be used together; run one after the other`,
    );
  for (const key of OPTIONS)
    if (flags[key] !== undefined && !TAKES[work].includes(key))
      throw new UsageError(
        key === 'names' || key === 'gone'
          ? `--${key} goes with --${key === 'names' ? 'move' : 'prune'} alone`
          : `--${key} cannot be used with --${work}; leave it out`,
      );
  if (flags.rule !== undefined) await refuseUnknownRules('--rule', [flags.rule], known);
  refuseValues(flags, today);
  if (work === 'move') {
    if (flags.move?.length !== 2)
      throw new UsageError(
        `--move takes two paths, as in --move OLD NEW, and got ${flags.move?.length ?? 0}`,
      );
    if (report !== undefined)
      throw new UsageError('--move needs no report; write --move OLD NEW alone');
  } else if (report === undefined && work !== 'prune')
    throw new UsageError(
      'name the report that "trysquare check PATH --format json" wrote, or - for standard input',
    );
  if (work === 'add') refuseVague(flags);
  return work;
}

function refuseVague({ rule, asset, all, level, why, by }: WaiveFlags): void {
  if (all !== true && (rule === undefined || asset === undefined))
    throw new UsageError(
      rule !== undefined
        ? 'name the asset, too, with --asset; or add --all to waive what makes any asset unsound'
        : 'name what to waive with --rule and --asset; or waive everything that makes an asset unsound with --all',
    );
  if (all !== true && level !== undefined)
    throw new UsageError('--level sets the lowest level that --all waives; add --all');
  if (why === undefined)
    throw new UsageError('say why the findings are accepted, with --why "..."');
  if (by === undefined) throw new UsageError('say who accepts the findings, with --by "..."');
}

function refuseValues(flags: WaiveFlags, today: string): void {
  for (const key of ['why', 'by'] as const)
    if (flags[key]?.trim() === '') throw new UsageError(`--${key} is blank; fill it in`);
  const { until } = flags;
  if (until === undefined || until === NEVER) return;
  if (!isDay(until))
    throw new UsageError(
      `--until ${until} is not a date; write a date as YYYY-MM-DD, or write ${NEVER}`,
    );
  if (until < today)
    throw new UsageError(
      `--until ${until} is in the past (today is ${today} in UTC); give a later date`,
    );
}
