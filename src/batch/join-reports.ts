import { UsageError } from '../asset/errors.js';
import { totalsOf } from '../report/report-stream.js';
import type { Report, ReportHead } from '../report/report-types.js';
import { visible } from '../report/visible.js';
import { joinLedgers } from '../waivers/join-ledgers.js';
import { countWaived, judgedAnew } from './judged-anew.js';
import { byPath } from './path-order.js';

/** A report and the path it was read from, as the user knows it. */
export interface NamedReport {
  readonly name: string;
  readonly report: Report;
}

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
    refuseOther('version of trysquare', first, name, (one) => one.tool.version, report);
    refuseOther('standard', first, name, (one) => one.standard ?? 'none', report);
    refuseOther('failing level', first, name, (one) => one.failing, report);
    refuseOther('choice of families', first, name, (one) => one.families.join(', '), report);
    refuseOther('choice of rules', first, name, (one) => one.rules?.join(', ') ?? 'all', report);
    // Last: these are digests, which only say that something else differs.
    refuseOther('set of rules, levels and limits', first, name, (one) => one.settings, report);
    refuseUnread(name, report);
    if (report.partial !== null)
      throw new UsageError(
        `${visible(name)} comes from a run that was stopped, with ${report.partial.checked} of ${report.partial.of} checked; run that part again`,
      );
  }
  refuseParts(named);
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
  const { tool, failing, standard, unit, families, rules, settings } = first.report;
  const some = rules === undefined ? {} : { rules };
  const head: ReportHead = {
    tool,
    failing,
    standard,
    unit,
    families,
    ...some,
    settings,
    part: null,
  };
  const list = assets.map(({ asset }) => judgedAnew(asset, failing));
  const ledger = joinLedgers(named.map(({ report }) => report.ledger));
  const waived = countWaived(list);
  return {
    ...head,
    assets: list,
    partial: null,
    ledger: ledger && { ...ledger, waived },
    ...totalsOf(list),
  };
}

/** Nothing of an asset that was not read follows from its findings. */
function refuseUnread(name: string, { assets }: Report): void {
  const strange = assets.find(
    ({ unreadable, container }) => (unreadable === null) === (container === null),
  );
  if (strange === undefined) return;
  const says = strange.unreadable === null ? 'neither' : 'both';
  const and = strange.unreadable === null ? 'nor' : 'and';
  throw new UsageError(
    `${visible(name)} says of ${visible(strange.path)} ${says} that it was read ${and} why it could not be; run that part again`,
  );
}

function refuseOther(
  what: string,
  first: NamedReport,
  name: string,
  of: (report: Report) => string,
  report: Report,
): void {
  const [a, b] = [of(first.report), of(report)];
  if (a === b) return;
  throw new UsageError(
    `${visible(first.name)} and ${visible(name)} were made with a different ${what}: ${visible(a)} and ${visible(b)}`,
  );
}

/** Parts must be all of one list, each once; reports that are no parts are joined as they are. */
function refuseParts(named: readonly NamedReport[]): void {
  const [first] = named;
  const known = first?.report.part ?? null;
  const seen = new Map<number, string>();
  for (const { name, report } of named) {
    const { part } = report;
    if ((part === null) !== (known === null))
      throw new UsageError(
        `${visible(first?.name ?? '')} and ${visible(name)} cannot be joined: one is a part of a list, the other is a whole`,
      );
    if (part === null || known === null) continue;
    if (part.of !== known.of || part.list !== known.list)
      throw new UsageError(
        `${visible(first?.name ?? '')} and ${visible(name)} are parts of different lists: ${known.of} parts of ${known.total} files and ${part.of} parts of ${part.total}; every part must be run over the same files`,
      );
    const other = seen.get(part.index);
    if (other !== undefined)
      throw new UsageError(
        `part ${part.index} of ${part.of} is given twice: ${visible(other)} and ${visible(name)}`,
      );
    seen.set(part.index, name);
  }
  if (known === null) return;
  // Each part seen is one of them: a report that says otherwise was refused when it was read.
  const count = known.of - seen.size;
  if (count === 0) return;
  const missing: number[] = [];
  for (let index = 1; missing.length < Math.min(count, SHOWN); index++)
    if (!seen.has(index)) missing.push(index);
  const shown = missing.join(', ');
  const more = count > SHOWN ? ` and ${count - SHOWN} more` : '';
  const [part, verb, whose] =
    count === 1 ? ['part', 'is', 'its report'] : ['parts', 'are', 'their reports'];
  throw new UsageError(
    `${part} ${shown}${more} of ${known.of} ${verb} missing; add ${whose}, or make it with check --part ${missing[0]}/${known.of}`,
  );
}

/** Missing parts that are named. */
const SHOWN = 20;
