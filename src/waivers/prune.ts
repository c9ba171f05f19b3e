import { dirname } from 'node:path';
import { type AssetView, changeOf, isForOne, subjectsAbout } from './asset-view.js';
import { holdsOn, type Ledger, type Waiver } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';

/** Why a waiver goes, or is left for a person to look at. */
export type Why = 'past' | 'unmatched' | 'gone' | 'pattern';

export interface Pruned {
  readonly change: LedgerChange;
  readonly out: readonly { readonly waiver: Waiver; readonly why: Why }[];
  /** Waivers of a pattern that fit nothing in this report: other assets may need them. */
  readonly left: readonly Waiver[];
}

export interface PruneOptions {
  readonly today: string;
  /** Absolute paths of the assets of the report, with forward slashes. */
  readonly checked: readonly string[];
  /** Whether the run judged by a rule. */
  readonly ran: (rule: string) => boolean;
  readonly isThere: (path: string) => boolean;
}

/**
 * The waivers that are of no more use: those past their day and, by a report, those that fit no finding
 * of an asset that it tells of, or whose asset is gone from a folder that it tells of.
 *
 * @param views Null where there is no report.
 */
export function pruned(
  ledger: Ledger,
  views: readonly AssetView[] | null,
  { today, checked, ran, isThere }: PruneOptions,
): Pruned {
  const used = new Map<Waiver, number>();
  for (const view of views ?? [])
    for (const waiver of view.waivers)
      used.set(waiver, (used.get(waiver) ?? 0) + subjectsAbout(waiver, view).length);
  const folders = new Set(checked.map((path) => dirname(path)));
  const isGone = ({ pattern: { only } }: Waiver): boolean => {
    if (only === null) return false;
    const path = `/${only}`.replace(/^\/(?=[A-Za-z]:)/, '');
    return folders.has(dirname(path)) && !checked.includes(path) && !isThere(path);
  };
  const out: { waiver: Waiver; why: Why }[] = [];
  const left: Waiver[] = [];
  for (const waiver of ledger.waivers) {
    if (!holdsOn(waiver, today)) out.push({ waiver, why: 'past' });
    else if (views !== null && isGone(waiver)) out.push({ waiver, why: 'gone' });
    else if (used.get(waiver) !== 0 || !ran(waiver.rule)) continue;
    else if (isForOne(waiver)) out.push({ waiver, why: 'unmatched' });
    else left.push(waiver);
  }
  const spent = out.map(({ waiver }) => waiver);
  return { change: changeOf(ledger, spent, []), out, left };
}
