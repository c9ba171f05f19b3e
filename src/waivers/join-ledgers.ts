import { UsageError } from '../asset/errors.js';
import type { ExpiredWaiver, LedgerReport } from '../report/ledger-report.js';
import { groupBy } from '../rig/group-by.js';

/**
 * What one run over all parts would have said of the ledger. Throws UsageError when the parts were
 * held to different ledgers or days.
 */
export function joinLedgers(parts: readonly (LedgerReport | null)[]): LedgerReport | null {
  const ledgers = parts.filter((part) => part !== null);
  const [first] = ledgers;
  if (first === undefined) return null;
  const alike = ledgers.every(
    ({ path, today, waivers }) =>
      path === first.path && today === first.today && waivers === first.waivers,
  );
  if (!alike || ledgers.length !== parts.length)
    throw new UsageError(
      'the reports were made with different ledgers, or on different days; run the parts again with the same ledger on one day',
    );
  const fitting = new Set(ledgers.flatMap((ledger) => ledger.fitting));
  const unmatched = byLine(ledgers.flatMap((ledger) => ledger.unmatched));
  return {
    path: first.path,
    today: first.today,
    waivers: first.waivers,
    waived: ledgers.reduce((sum, { waived }) => sum + waived, 0),
    exceeded: ledgers.reduce((sum, { exceeded }) => sum + exceeded, 0),
    expired: joinExpired(ledgers),
    unmatched: unmatched.filter(({ line }) => !fitting.has(line)),
    open: byLine(ledgers.flatMap((ledger) => ledger.open)),
    fitting: [...fitting].sort((a, b) => a - b),
  };
}

/** A part lists the waivers for its own assets; a pattern is listed by several. */
function joinExpired(ledgers: readonly LedgerReport[]): ExpiredWaiver[] {
  const expired = ledgers.flatMap((ledger) => ledger.expired);
  const counts = groupBy(expired, ({ line }) => line);
  return byLine(expired).map((entry) => {
    const found = (counts.get(entry.line) ?? []).flatMap(({ findings }) => findings ?? []);
    return { ...entry, findings: found.length === 0 ? null : found.reduce((a, b) => a + b) };
  });
}

/** Each once, in the order of the ledger. */
function byLine<T extends { readonly line: number }>(entries: readonly T[]): T[] {
  const unique = new Map(entries.map((entry) => [entry.line, entry]));
  return [...unique.values()].sort((a, b) => a.line - b.line);
}
