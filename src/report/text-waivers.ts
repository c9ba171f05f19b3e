import { counted } from './finding-words.js';
import type { LedgerEntry, LedgerReport } from './ledger-report.js';
import type { TextPen } from './text-pen.js';
import { visible } from './visible.js';
import { waiverSummary, whichOf } from './waiver-words.js';

/**
 * What there is to say of a ledger: in one line how many waivers need a look, or each of them.
 *
 * @param each Whether each is told.
 */
export function ledgerLines(ledger: LedgerReport, pen: TextPen, each: boolean): string[] {
  const summary = waiverSummary(ledger);
  if (summary === '') return [];
  const how = each ? '' : ' --show-waivers lists them.';
  const lines = [pen.wrap(visible(`${ledger.path}: ${summary}${how}`), 0, 2)];
  if (each) lines.push(...eachWaiver(ledger, pen));
  return lines.map((line) => line.join('\n'));
}

function eachWaiver({ path, expired, unmatched, open }: LedgerReport, pen: TextPen): string[][] {
  const told = (what: string, entry: LedgerEntry): string[] =>
    pen.wrap(visible(`${path} line ${entry.line}, ${whichOf(entry)}: ${what}`), 2, 4);
  return [
    ...expired.map((entry) => {
      const { until, findings } = entry;
      const now =
        findings === null || findings === 0
          ? 'it matches no finding any more'
          : `it would match ${counted(findings, 'finding')}`;
      return told(`its last day is past (${until}), so it waives nothing; ${now}.`, entry);
    }),
    ...unmatched.map((entry) =>
      told(
        entry.gone === true ? 'its asset does not exist any more.' : 'matches no finding any more.',
        entry,
      ),
    ),
    ...open.map((entry) => told('does not say what it accepted.', entry)),
  ];
}
