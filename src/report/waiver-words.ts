import { counted, joined } from './finding-words.js';
import type { LedgerEntry, LedgerReport } from './ledger-report.js';
import type { TextPen } from './text-pen.js';
import { visible } from './visible.js';

/** How many waivers need a look, and what to do, as a paragraph; empty for none. */
export function waiverSummary({ expired, unmatched, open }: LedgerReport): string {
  const [past, idle, bare] = [expired.length, unmatched.length, open.length];
  const gone = unmatched.filter((entry) => entry.gone === true).length;
  const parts = joined(
    [
      past > 0 && `${counted(past, 'waiver')} with a last day that is past`,
      idle > 0 &&
        `${counted(idle, 'waiver')} that ${idle === 1 ? 'matches' : 'match'} no finding any more`,
      bare > 0 &&
        `${counted(bare, 'waiver')} that ${bare === 1 ? 'does' : 'do'} not say what was accepted`,
    ],
    ', ',
  );
  if (parts === '') return '';
  const steps = [
    past > 0 && '"trysquare waive REPORT --renew" sets a new day.',
    gone > 0 &&
      `${counted(gone, 'waiver')} ${gone === 1 ? 'is' : 'are'} for an asset that does not exist any more: if it was moved, use "trysquare waive --move OLD NEW"; if not, use "trysquare waive --prune --gone".`,
    past + idle > gone &&
      '"trysquare waive REPORT --prune" removes waivers that are not needed any more.',
    bare > 0 && '"trysquare waive REPORT --carry-over" records what they accept.',
  ];
  return `${parts}. ${joined(steps)}`;
}

/** `axis.up at body/neck and 2 more places of heron.glb`: what a waiver is about; names are raw. */
export function whichOf(waiver: Pick<LedgerEntry, 'rule' | 'asset' | 'joint' | 'others'>): string {
  const { rule, asset, joint, others } = waiver;
  if (joint === null) return `${rule} anywhere in ${asset}`;
  const more = others > 0 ? ` and ${counted(others, 'more place')}` : '';
  return `${rule} at ${joint === '*' ? 'any joint' : joint}${more} of ${asset}`;
}

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
      const match = waiver.findings
        ? `would match ${counted(waiver.findings, 'finding')}`
        : 'matches no finding any more';
      const why = `its last day is past (${waiver.until}), so it waives nothing; it ${match}.`;
      return { waiver, why };
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
