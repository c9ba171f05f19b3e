import { resolve } from 'node:path';
import { countLevels, isUnsound } from '../check/verdict.js';
import type { Level } from '../kit/finding.js';
import type { LedgerEntry, LedgerReport } from '../report/ledger-report.js';
import type { AssetReport, FindingReport } from '../report/report-types.js';
import { slashes } from '../report/slashes.js';
import { fits, partsOfPath } from './asset-pattern.js';
import { beyondWords } from './beyond-words.js';
import { absolute } from './folders.js';
import { judgeFinding } from './judge-finding.js';
import { holdsOn, type Ledger, type Waiver } from './ledger.js';
import { type Subject, subjectsOf } from './subjects.js';
import { type RigRenames, waiverRenamer } from './waiver-renames.js';

export interface LedgerOptions {
  /** `YYYY-MM-DD` in UTC: see `utcDay`. */
  readonly today: string;
  /** Absolute path of the folder that the paths of the reports are relative to. */
  readonly base: string;
  /** Findings at this level or above make an asset unsound. */
  readonly failing: Level | 'never';
  /** Ids of the rules that the run judged: a waiver of another one cannot be told to be idle. */
  readonly ran: readonly string[];
  /** Whether a run would have found an asset at an absolute path, and there is none any more. */
  readonly isGone?: (path: string) => boolean;
}

/** A ledger applied to a run, asset by asset, so that a long run holds none of them back. */
export interface LedgerRun {
  /**
   * The report with the findings marked that the ledger waives, counted and judged by the others.
   * Where several waivers fit, the first that holds is named. What is more than was accepted is told
   * with the finding. Earlier marks are taken off.
   *
   * @param renames What has another name in the report than in the ledger.
   */
  asset(report: AssetReport, renames?: readonly RigRenames[]): AssetReport;
  /** What became of the ledger in all of them. */
  end(): LedgerReport;
}

/** Starts to apply a ledger. */
export function ledgerRun(
  ledger: Ledger,
  { today, base, failing, ran, isGone = () => false }: LedgerOptions,
): LedgerRun {
  const lookUp = waiversByAsset(ledger.waivers, base);
  const judged = new Set(ran);
  /** Findings that each waiver is about, of those whose assets were judged. */
  const used = new Map<Waiver, number>();
  /** Of a waiver with other names the one that stands in the ledger. */
  const writtenAs = new Map<Waiver, Waiver>();
  let [waived, exceeded] = [0, 0];
  const mark = (subject: Subject, waivers: readonly Waiver[]): FindingReport => {
    const { waived: _, beyond: __, ...finding } = subject.finding;
    const judgement = judgeFinding(subject, waivers, today);
    for (const waiver of judgement.about) {
      const written = writtenAs.get(waiver) ?? waiver;
      used.set(written, (used.get(written) ?? 0) + 1);
    }
    const { by } = judgement;
    if (by !== null) {
      waived++;
      return { ...finding, waived: { by: by.by, why: by.why, until: by.until } };
    }
    const beyond = beyondWords(judgement, subject);
    if (judgement.beyond.length > 0) exceeded++;
    return beyond.length === 0 ? finding : { ...finding, beyond };
  };
  const isOfGone = (waiver: Waiver): boolean =>
    !used.has(waiver) && waiver.pattern.only !== null && isGone(absolute(waiver.pattern.only));
  // A run tells only of waivers for what it looked at.
  const isOfRun = (waiver: Waiver): boolean => used.has(waiver) || isOfGone(waiver);
  return {
    asset(report, renames = []) {
      if (report.unreadable !== null) return report;
      const known = lookUp(report.path).filter(({ rule }) => judged.has(rule));
      const rename = waiverRenamer(renames);
      const own = known.map((waiver): Waiver => {
        used.set(waiver, used.get(waiver) ?? 0);
        const next = renames.length === 0 ? null : rename(waiver);
        if (next === null) return waiver;
        const renamed = { ...waiver, ...next };
        writtenAs.set(renamed, waiver);
        return renamed;
      });
      const byRule = gather(own, ({ rule }) => rule);
      const findings = subjectsOf(report).map((subject) =>
        mark(subject, byRule.get(subject.finding.rule) ?? []),
      );
      const counts = countLevels(findings);
      const verdict = isUnsound(counts, failing) ? 'unsound' : 'sound';
      return { ...report, findings, counts, verdict };
    },
    end() {
      const ofRun = ledger.waivers.filter(isOfRun);
      const holding = ofRun.filter((waiver) => holdsOn(waiver, today));
      const fits = (waiver: Waiver): boolean => (used.get(waiver) ?? 0) > 0;
      return {
        path: ledger.path,
        today,
        waivers: ledger.waivers.length,
        waived,
        exceeded,
        expired: ofRun
          .filter((waiver) => !holdsOn(waiver, today))
          .map((waiver) => ({ ...entry(waiver), findings: used.get(waiver) ?? null })),
        unmatched: holding
          .filter((waiver) => !fits(waiver))
          .map((waiver) => ({ ...entry(waiver), ...(isOfGone(waiver) && { gone: true }) })),
        open: holding.filter((waiver) => fits(waiver) && !waiver.accepted).map(entry),
        fitting: holding.filter(fits).map(({ line }) => line),
      };
    },
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

function entry({ line, rule, asset, joint, why, by, until, accepted }: Waiver): LedgerEntry {
  const keys = [...(accepted?.places?.keys() ?? [])];
  return {
    line,
    rule,
    asset,
    joint: keys[0] ?? joint,
    others: Math.max(0, keys.length - 1),
    why,
    by,
    until,
  };
}
