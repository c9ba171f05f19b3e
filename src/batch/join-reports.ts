import { UsageError } from '../asset/errors.js';
import { totalsOf } from '../report/report-stream.js';
import type { Report } from '../report/report-types.js';
import { visible } from '../report/visible.js';
import { joinLedgers } from '../waivers/join-ledgers.js';
import { countWaived, judgedAnew } from './judged-anew.js';
import { byPath } from './path-order.js';

/** A report and the path it was read from, as the user knows it. */
export interface NamedReport {
  readonly name: string;
  readonly report: Report;
}

/** What all reports must have alike, and how it is shown. */
const ALIKE: readonly (readonly [what: string, shown: (report: Report) => string])[] = [
  ['version of trysquare', ({ tool }) => tool.version],
  ['standard', ({ standard }) => standard ?? 'none'],
  ['standard above', ({ standardAbove }) => standardAbove?.join(', ') ?? 'none'],
  ['failing level', ({ failing }) => failing],
  ['choice of families', ({ families }) => families.join(', ')],
  ['choice of rules', ({ rules }) => rules?.join(', ') ?? 'all'],
  ['choice of --transforms', ({ transforms }) => (transforms ? 'with it' : 'without it')],
  // Last: these are digests, which only say that something else differs.
  ['set of rules, levels and limits', ({ settings }) => settings],
];

/**
 * Joins reports to the one that a single run over all of their assets would have given. Throws
 * UsageError when they do not belong together: other versions, settings or lists, a part that is
 * missing or given twice, an asset that is in two of them, a run that was stopped. Verdicts, counts and
 * totals are worked out from the findings: what the reports say of them is not looked at.
 */
export function joinReports(named: readonly NamedReport[]): Report {
  const [first] = named;
  if (first === undefined) throw new UsageError('there is no report to join');
  for (const { name, report } of named) {
    for (const [what, shown] of ALIKE) {
      const [a, b] = [shown(first.report), shown(report)];
      if (a !== b)
        throw new UsageError(
          `${visible(first.name)} and ${visible(name)} were made with a different ${what}: ${visible(a)} and ${visible(b)}`,
        );
    }
    refuseUnread(name, report);
    if (report.partial !== null)
      throw new UsageError(
        `${visible(name)} comes from a run that was stopped, with ${report.partial.checked} of ${report.partial.of} checked; run that part again`,
      );
  }
  refuseParts(named, first);
  const assets = named
    .flatMap(({ name, report }) => report.assets.map((asset) => ({ name, asset })))
    .sort((a, b) => byPath(a.asset.path, b.asset.path));
  assets.forEach(({ name, asset }, at) => {
    const before = assets[at - 1];
    if (before?.asset.path === asset.path)
      throw new UsageError(
        `${visible(asset.path)} is both in ${visible(before.name)} and in ${visible(name)}`,
      );
  });
  const { tool, failing, standard, unit, families, rules, settings, transforms } = first.report;
  const { standardAbove } = first.report;
  const list = assets.map(({ asset }) => judgedAnew(asset, failing));
  const ledger = joinLedgers(named.map(({ report }) => report.ledger));
  return {
    tool,
    failing,
    standard,
    ...(standardAbove && { standardAbove }),
    unit,
    families,
    ...(rules && { rules }),
    settings,
    ...(transforms && { transforms }),
    part: null,
    assets: list,
    partial: null,
    ledger: ledger && { ...ledger, waived: countWaived(list) },
    ...totalsOf(list),
  };
}

/** Nothing of an asset that was not read follows from its findings. */
function refuseUnread(name: string, { assets }: Report): void {
  const strange = assets.find(
    ({ unreadable, container }) => (unreadable === null) === (container === null),
  );
  if (strange === undefined) return;
  const [says, and] = strange.unreadable === null ? ['neither', 'nor'] : ['both', 'and'];
  throw new UsageError(
    `${visible(name)} says of ${visible(strange.path)} ${says} that it was read ${and} why it could not be; run that part again`,
  );
}

/** Parts must be all of one list, each once; reports that are no parts are joined as they are. */
function refuseParts(named: readonly NamedReport[], first: NamedReport): void {
  const whole = first.report.part;
  const seen = new Map<number, string>();
  for (const { name, report } of named) {
    const { part } = report;
    const both = `${visible(first.name)} and ${visible(name)}`;
    if ((part === null) !== (whole === null))
      throw new UsageError(
        `${both} cannot be joined: one is a part of a list, the other is a whole`,
      );
    if (part === null || whole === null) continue;
    if (part.of !== whole.of || part.list !== whole.list)
      throw new UsageError(
        `${both} are parts of different lists: ${whole.of} parts of ${whole.total} files and ${part.of} parts of ${part.total}; every part must be run over the same files`,
      );
    const other = seen.get(part.index);
    if (other !== undefined)
      throw new UsageError(
        `part ${part.index} of ${part.of} is given twice: ${visible(other)} and ${visible(name)}`,
      );
    seen.set(part.index, name);
  }
  // Each part seen is one of them: a report that says otherwise was refused when it was read.
  const count = whole === null ? 0 : whole.of - seen.size;
  if (whole === null || count === 0) return;
  const missing: number[] = [];
  for (let index = 1; missing.length < Math.min(count, SHOWN); index++)
    if (!seen.has(index)) missing.push(index);
  const more = count > SHOWN ? ` and ${count - SHOWN} more` : '';
  const [parts, are, reports] =
    count === 1 ? ['part', 'is', 'its report'] : ['parts', 'are', 'their reports'];
  throw new UsageError(
    `${parts} ${missing.join(', ')}${more} of ${whole.of} ${are} missing; add ${reports}, or make it with check --part ${missing[0]}/${whole.of}`,
  );
}

/** Missing parts that are named. */
const SHOWN = 20;
