import { counted } from './finding-words.js';
import type { LedgerReport } from './ledger-report.js';
import type { TextPen } from './text-pen.js';
import { visible } from './visible.js';
import { waiverSummary, whichOf } from './waiver-words.js';

/**
 * How many waivers of a ledger need a look, and what to do. A line of this may be several of text.
 *
 * @param each Whether every one of them is listed.
 */
export function ledgerLines(ledger: LedgerReport, pen: TextPen, each: boolean): string[] {
  const { path, expired, unmatched, open } = ledger;
  const summary = waiverSummary(ledger);
  if (summary === '') return [];
  const wrapped = (text: string, indent: number): string =>
    pen.wrap(visible(text), indent, indent + 2).join('\n');
  if (!each) return [wrapped(`${path}: ${summary} --show-waivers lists them.`, 0)];
  const listed = [
    ...expired.map((waiver) => {
      const { until, findings } = waiver;
      const now =
        findings === null || findings === 0
          ? 'it matches no finding any more'
          : `it would match ${counted(findings, 'finding')}`;
      return { waiver, why: `its last day is past (${until}), so it waives nothing; ${now}.` };
    }),
    ...unmatched.map((waiver) => ({
      waiver,
      why: `${waiver.gone === true ? 'its asset does not exist' : 'matches no finding'} any more.`,
    })),
    ...open.map((waiver) => ({ waiver, why: 'does not say what it accepted.' })),
  ];
  return [
    wrapped(`${path}: ${summary}`, 0),
    ...listed.map(({ waiver, why }) =>
      wrapped(`${path} line ${waiver.line}, ${whichOf(waiver)}: ${why}`, 2),
    ),
  ];
}
