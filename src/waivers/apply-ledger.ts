import { resolve } from 'node:path';
import { countLevels, verdictOf } from '../check/verdict.js';
import { fits, partsOfPath } from '../house/asset-pattern.js';
import type { Level } from '../kit/finding.js';
import type { LedgerEntry, LedgerReport } from '../report/ledger-report.js';
import type { AssetReport, FindingReport } from '../report/report-types.js';
import { slashes } from '../report/slashes.js';
import { groupBy } from '../rig/group-by.js';
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
  /** Ids of the rules that the run judged: whether a waiver of another one is idle is not known. */
  readonly ran: readonly string[];
  /** Whether the run covers an absolute path, and no asset is there any more. */
  readonly isGone?: (path: string) => boolean;
}

/** A ledger applied to a run, asset by asset, so that a long run keeps none of them in memory. */
export interface LedgerRun {
  /**
   * The report with the findings marked that the ledger waives, counted and judged by the others.
   * Where several waivers fit, the first in force is named. What is more than was accepted is said with
   * the finding. Earlier marks are taken off.
   *
   * @param renames What has another name in the report than in the ledger.
   * @param ran Ids of the rules that were judged, where these are not those of the run.
   */
  asset(report: AssetReport, renames?: readonly RigRenames[], ran?: readonly string[]): AssetReport;
  /** What became of the ledger in all of them. */
  end(): LedgerReport;
}

/** Starts to apply a ledger. */
export function ledgerRun(
  ledger: Ledger,
  { today, base, failing, ran, isGone = () => false }: LedgerOptions,
): LedgerRun {
  const lookUp = waiversByAsset(ledger.waivers, base);
  const judgedRules = new Set(ran);
  /** Findings that each waiver is about, of those whose assets were judged. */
  const used = new Map<Waiver, number>();
  /** For a waiver with other names: as it is written in the ledger. */
  const writtenAs = new Map<Waiver, Waiver>();
  let [waived, exceeded] = [0, 0];
  const mark = (subject: Subject, waivers: readonly Waiver[]): FindingReport => {
    const { waived: _, beyond: __, ...finding } = subject.finding;
    const judgement = judgeFinding(subject, waivers, today);
    for (const waiver of judgement.about) {
      const written = writtenAs.get(waiver) ?? waiver;
      used.set(written, (used.get(written) ?? 0) + 1);
    }
    if (judgement.by !== null) {
      waived++;
      const { by, why, until } = judgement.by;
      return { ...finding, waived: { by, why, until } };
    }
    const beyond = beyondWords(judgement, subject);
    if (judgement.beyond.length > 0) exceeded++;
    return beyond.length === 0 ? finding : { ...finding, beyond };
  };
  const isOfGone = (waiver: Waiver): boolean =>
    !used.has(waiver) && waiver.pattern.only !== null && isGone(absolute(waiver.pattern.only));
  return {
    asset(report, renames = [], own = ran) {
      if (report.unreadable !== null) return report;
      const judged = own === ran ? judgedRules : new Set(own);
      const rename = waiverRenamer(renames);
      const failed = new Set(report.failed?.map(({ rule }) => rule));
      const waivers = lookUp(report.path)
        .filter(({ rule }) => judged.has(rule) && !failed.has(rule))
        .map((waiver) => {
          used.set(waiver, used.get(waiver) ?? 0);
          const renamed = rename(waiver);
          if (renamed === null) return waiver;
          writtenAs.set(renamed, waiver);
          return renamed;
        });
      const byRule = groupBy(waivers, ({ rule }) => rule);
      const findings = subjectsOf(report).map((subject) =>
        mark(subject, byRule.get(subject.finding.rule) ?? []),
      );
      const counts = countLevels(findings);
      const verdict = verdictOf({ ...report, counts }, report.standard?.failing ?? failing);
      return { ...report, findings, counts, verdict };
    },
    end() {
      // A run reports only waivers for what it looked at.
      const ofRun = ledger.waivers.filter((waiver) => used.has(waiver) || isOfGone(waiver));
      const inForce = ofRun.filter((waiver) => holdsOn(waiver, today));
      const isUsed = (waiver: Waiver): boolean => (used.get(waiver) ?? 0) > 0;
      return {
        path: ledger.path,
        today,
        waivers: ledger.waivers.length,
        waived,
        exceeded,
        expired: ofRun
          .filter((waiver) => !holdsOn(waiver, today))
          .map((waiver) => ({ ...entry(waiver), findings: used.get(waiver) ?? null })),
        unmatched: inForce
          .filter((waiver) => !isUsed(waiver))
          .map((waiver) => ({ ...entry(waiver), ...(isOfGone(waiver) && { gone: true }) })),
        open: inForce.filter((waiver) => isUsed(waiver) && !waiver.accepted).map(entry),
        fitting: inForce.filter(isUsed).map(({ line }) => line),
      };
    },
  };
}

/** The waivers that are about an asset, in the order of the ledger. */
export function waiversByAsset(
  waivers: readonly Waiver[],
  base: string,
): (path: string) => Waiver[] {
  // Most waivers name one file: those are looked up, so that a long ledger costs little for each asset.
  const order = new Map(waivers.map((waiver, index) => [waiver, index]));
  const named = groupBy(waivers, ({ pattern }) => pattern.only);
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

function entry({ line, rule, asset, joint, why, by, until, accepted }: Waiver): LedgerEntry {
  const [first = joint, ...others] = accepted?.places?.keys() ?? [];
  return { line, rule, asset, joint: first, others: others.length, why, by, until };
}
