import { type AssetView, changeOf, isForOne, subjectsAbout } from './asset-view.js';
import { absolute } from './folders.js';
import { holdsOn, type Ledger, type Waiver } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';

export interface Pruned {
  readonly change: LedgerChange;
  /** Waivers of a pattern that fit nothing in this report: other assets may need them. */
  readonly left: readonly Waiver[];
  /** Waivers whose asset is not there any more, and that stay since it may have moved. */
  readonly gone: readonly Waiver[];
}

export interface PruneOptions {
  readonly today: string;
  /** Whether the run judged by a rule. */
  readonly ran: (rule: string) => boolean;
  /** Whether there is a file at an absolute path. */
  readonly isThere: (path: string) => boolean;
  /** Whether those go whose asset is not there any more. */
  readonly takeGone: boolean;
}

/**
 * The waivers that are of no more use: those past their day and, by a report, those that fit no finding
 * of an asset that it tells of. Those whose asset is not there any more go only where that is asked for:
 * an asset that moved needs them at its new place.
 *
 * @param views Null where there is no report.
 */
export function pruned(
  ledger: Ledger,
  views: readonly AssetView[] | null,
  { today, ran, isThere, takeGone }: PruneOptions,
): Pruned {
  const used = new Map<Waiver, number>();
  for (const view of views ?? [])
    for (const waiver of view.waivers)
      used.set(waiver, (used.get(waiver) ?? 0) + subjectsAbout(waiver, view).length);
  const out: Waiver[] = [];
  const left: Waiver[] = [];
  const gone: Waiver[] = [];
  for (const waiver of ledger.waivers) {
    const fitting = used.get(waiver);
    if (!holdsOn(waiver, today)) out.push(waiver);
    else if (fitting === undefined) {
      const { only } = waiver.pattern;
      if (only !== null && !isThere(absolute(only))) (takeGone ? out : gone).push(waiver);
    } else if (fitting > 0 || !ran(waiver.rule)) continue;
    else (isForOne(waiver) ? out : left).push(waiver);
  }
  return { change: changeOf(ledger, out, []), left, gone };
}
