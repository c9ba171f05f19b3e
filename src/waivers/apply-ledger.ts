import { resolve } from 'node:path';
import { countLevels, isUnsound } from '../check/verdict.js';
import type { Level } from '../kit/finding.js';
import type { AssetReport, FindingReport, PlaceReport } from '../report/report-types.js';
import { fits, partsOfPath } from './asset-pattern.js';
import { holdsOn, type Ledger, type Waiver } from './ledger.js';
import type { LedgerEntry, LedgerReport } from './ledger-report.js';
import { slashes } from './slashes.js';

export interface LedgerOptions {
  /** `YYYY-MM-DD` in UTC: see `utcDay`. */
  readonly today: string;
  /** Absolute path of the folder that the paths of the reports are relative to. */
  readonly base: string;
  /** Findings at this level or above make an asset unsound. */
  readonly failing: Level | 'never';
  /** Ids of the rules that the run judged: a waiver of another one cannot be told to be idle. */
  readonly ran: readonly string[];
  /** Whether there is an asset at an absolute path: one that is gone is told, by its waivers. */
  readonly isThere?: (path: string) => boolean;
}

/** A ledger applied to a run, asset by asset, so that a long run holds none of them back. */
export interface LedgerRun {
  /**
   * The report with the findings marked that the ledger waives, counted and judged by the others.
   * Where several waivers fit, the first that holds is named. Earlier marks are taken off.
   */
  asset(report: AssetReport): AssetReport;
  /** What became of the ledger in all of them. */
  end(): LedgerReport;
}

/** Starts to apply a ledger. */
export function ledgerRun(
  ledger: Ledger,
  { today, base, failing, ran, isThere = () => true }: LedgerOptions,
): LedgerRun {
  const lookUp = waiversByAsset(ledger.waivers, base);
  const judged = new Set(ran);
  /** Findings that each waiver fits, of those whose assets were judged. */
  const used = new Map<Waiver, number>();
  const isGone = (waiver: Waiver): boolean => {
    const { only } = waiver.pattern;
    return only !== null && !used.has(waiver) && !isThere(absolute(only));
  };
  let waived = 0;
  const mark = (finding: FindingReport, waivers: readonly Waiver[]): FindingReport => {
    const fitting = waivers.filter(({ joint }) => isAbout(joint, finding.place));
    for (const waiver of fitting) used.set(waiver, (used.get(waiver) ?? 0) + 1);
    const first = fitting.find((waiver) => holdsOn(waiver, today));
    if (first === undefined) return finding;
    waived++;
    return { ...finding, waived: { by: first.by, why: first.why, until: first.until } };
  };
  return {
    asset(report) {
      if (report.unreadable !== null) return report;
      const own = lookUp(report.path).filter(({ rule }) => judged.has(rule));
      for (const waiver of own) used.set(waiver, used.get(waiver) ?? 0);
      const byRule = gather(own, ({ rule }) => rule);
      const findings = report.findings.map(({ waived: _, ...finding }) =>
        mark(finding, byRule.get(finding.rule) ?? []),
      );
      const counts = countLevels(findings);
      const verdict = isUnsound(counts, failing) ? 'unsound' : 'sound';
      return { ...report, findings, counts, verdict };
    },
    end: () => ({
      path: ledger.path,
      today,
      waivers: ledger.waivers.length,
      waived,
      expired: ledger.waivers
        .filter((waiver) => !holdsOn(waiver, today))
        .map((waiver) => ({ ...entry(waiver), findings: used.get(waiver) ?? null })),
      unmatched: ledger.waivers
        .filter((waiver) => holdsOn(waiver, today) && (used.get(waiver) === 0 || isGone(waiver)))
        .map(entry),
      fitting: ledger.waivers
        .filter((waiver) => holdsOn(waiver, today) && (used.get(waiver) ?? 0) > 0)
        .map(({ line }) => line),
    }),
  };
}

/** Applies a ledger to assets that are all at hand. */
export function applyLedger(
  assets: readonly AssetReport[],
  ledger: Ledger,
  options: LedgerOptions,
): { readonly assets: AssetReport[]; readonly ledger: LedgerReport } {
  const run = ledgerRun(ledger, options);
  const applied = assets.map((asset) => run.asset(asset));
  return { assets: applied, ledger: run.end() };
}

/** A path from its names: a drive on Windows, else the root before them. */
function absolute(names: string): string {
  return /^[A-Za-z]:/.test(names) ? names : `/${names}`;
}

/** Whether a waiver's joint is what a finding is about. */
export function isAbout(joint: string | null, place: PlaceReport): boolean {
  if (joint === null) return true;
  if (joint === '*') return place.kind === 'joint';
  return place.path === (joint === STAR_ITSELF ? '*' : joint);
}

/** How the path of a joint that is called `*` is written. */
export const STAR_ITSELF = '\\*';

/** The waivers that are about an asset, in the order of the ledger. */
export function waiversByAsset(
  waivers: readonly Waiver[],
  base: string,
): (path: string) => Waiver[] {
  // Most waivers name one file: those are looked up, so that a long ledger costs little an asset.
  const order = new Map(waivers.map((waiver, at) => [waiver, at]));
  const named = gather(waivers, ({ pattern }) => pattern.only);
  const patterns = named.get(null) ?? [];
  return (path) => {
    // What comes from standard input has no path to be known by.
    if (path === '-') return [];
    const names = partsOfPath(slashes(resolve(base, path)));
    const found = [
      ...(named.get(names.join('/')) ?? []),
      ...patterns.filter(({ pattern }) => fits(pattern, names)),
    ];
    return found.sort((a, b) => (order.get(a) ?? 0) - (order.get(b) ?? 0));
  };
}

function gather<K>(waivers: readonly Waiver[], keyOf: (waiver: Waiver) => K): Map<K, Waiver[]> {
  const groups = new Map<K, Waiver[]>();
  for (const waiver of waivers) {
    const key = keyOf(waiver);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [waiver]);
    else group.push(waiver);
  }
  return groups;
}

function entry({ line, rule, asset, joint, why, by, until }: Waiver): LedgerEntry {
  return { line, rule, asset, joint, why, by, until };
}
