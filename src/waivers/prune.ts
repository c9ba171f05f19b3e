import { type AssetView, changeOf, isForOne, subjectsAbout } from './asset-view.js';
import { absolute } from './folders.js';
import { holdsOn, type Ledger, type Waiver } from './ledger.js';
import type { LedgerChange } from './ledger-text.js';

interface Pruned {
  readonly change: LedgerChange;
  /** Waivers of a pattern that fit nothing in this report: other assets may need them. */
  readonly left: readonly Waiver[];
  /** Waivers for an asset that does not exist any more; they stay, since it may have moved. */
  readonly gone: readonly Waiver[];
}

interface PruneOptions {
  readonly today: string;
  /** Whether the run judged by a rule. */
  readonly ran: (rule: string) => boolean;
  /** Whether there is a file at an absolute path. */
  readonly isThere: (path: string) => boolean;
  /** Whether waivers for assets that do not exist any more are removed. */
  readonly takeGone: boolean;
}

/**
 * Removes the waivers that are of no more use: those past their day and, by a report, those that fit no
 * finding of an asset in it. Those for an asset that does not exist any more are removed only on
 * request: an asset that moved needs them at its new place.
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
  const spent: Waiver[] = [];
  const left: Waiver[] = [];
  const gone: Waiver[] = [];
  for (const waiver of ledger.waivers) {
    const findings = used.get(waiver);
    const { only } = waiver.pattern;
    if (!holdsOn(waiver, today)) spent.push(waiver);
    else if (findings === undefined) {
      if (only !== null && !isThere(absolute(only))) (takeGone ? spent : gone).push(waiver);
    } else if (findings === 0 && ran(waiver.rule)) (isForOne(waiver) ? spent : left).push(waiver);
  }
  return { change: changeOf(ledger, spent, []), left, gone };
}
