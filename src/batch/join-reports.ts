import { UsageError } from '../asset/errors.js';
import { totalsOf } from '../report/report-stream.js';
import type { AssetReport, Report, ReportHead } from '../report/report-types.js';
import { visible } from '../report/visible.js';
import { joinLedgers } from '../waivers/join-ledgers.js';
import { byPath } from './path-order.js';

/** A report and the path it was read from, as the user knows it. */
export interface NamedReport {
  readonly name: string;
  readonly report: Report;
}

/**
 * Joins reports to the one that a single run over all of their assets would have given. Throws
 * UsageError when they do not belong together: other versions, settings or lists, a part that is
 * missing or given twice, an asset that is in two of them, a run that was stopped.
 */
export function joinReports(named: readonly NamedReport[]): Report {
  const [first] = named;
  if (first === undefined) throw new UsageError('there is no report to join');
  for (const { name, report } of named) {
    refuseOther('version of trysquare', first, name, (one) => one.tool.version, report);
    refuseOther('standard', first, name, (one) => one.standard ?? 'none', report);
    refuseOther('set of rules, levels and limits', first, name, (one) => one.settings, report);
    refuseOther('failing level', first, name, (one) => one.failing, report);
    if (report.partial !== null)
      throw new UsageError(
        `${visible(name)} was stopped before its end, with ${report.partial.checked} of ${report.partial.of} checked; run that part again`,
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
  const { tool, failing, standard, unit, families, settings } = first.report;
  const head: ReportHead = { tool, failing, standard, unit, families, settings, part: null };
  const list: AssetReport[] = assets.map(({ asset }) => asset);
  const ledger = joinLedgers(named.map(({ report }) => report.ledger));
  return { ...head, assets: list, partial: null, ledger, ...totalsOf(list) };
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
    `${visible(first.name)} and ${visible(name)} were made with another ${what}: ${visible(a)} and ${visible(b)}`,
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
        `part ${part.index} of ${part.of} is there twice: ${visible(other)} and ${visible(name)}`,
      );
    seen.set(part.index, name);
  }
  if (known === null) return;
  const missing = Array.from({ length: known.of }, (_, at) => at + 1).filter(
    (index) => !seen.has(index),
  );
  if (missing.length === 0) return;
  const shown = missing.slice(0, SHOWN).join(', ');
  const more = missing.length > SHOWN ? ` and ${missing.length - SHOWN} more` : '';
  const [part, verb, whose] =
    missing.length === 1 ? ['part', 'is', 'its report'] : ['parts', 'are', 'their reports'];
  throw new UsageError(
    `${part} ${shown}${more} of ${known.of} ${verb} missing; add ${whose}, or make it with check --part ${missing[0]}/${known.of}`,
  );
}

/** Missing parts that are named. */
const SHOWN = 20;
