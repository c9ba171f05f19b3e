import { counted } from './finding-words.js';
import type { LedgerEntry, LedgerReport } from './ledger-report.js';
import { folded, MarkdownPage } from './markdown-page.js';
import { codeName, sentenceText } from './markdown-text.js';
import { waiverSummary } from './waiver-words.js';

/**
 * Adds the waivers that need a look: how many there are, and, folded, those past their day, those that
 * match nothing any more and those that do not say what they accepted. Returns how many had no room.
 */
export function addWaivers(ledger: LedgerReport, page: MarkdownPage): number {
  const { path, expired, unmatched, open } = ledger;
  const summary = waiverSummary(ledger);
  if (summary === '') return 0;
  const items = [
    ...expired.map(
      (waiver) =>
        `- Its last day is past (${codeName(waiver.until ?? '')}), so it waives nothing: ${where(waiver, path)}.`,
    ),
    ...unmatched.map((waiver) => `- Matches no finding any more: ${where(waiver, path)}.`),
    ...open.map((waiver) => `- Does not say what it accepted: ${where(waiver, path)}.`),
  ];
  // A third of the room at most: what is at fault in the assets is to follow.
  const part = new MarkdownPage(page.room / 3);
  const title = `### Waivers that need attention\n\n${sentenceText(summary)}\n\n`;
  const { opening, closing } = folded(`${items.length} in all`);
  const shown = part.addList(`${title}${opening}`, items, closing);
  page.addPage(part);
  return items.length - shown;
}

/** Rule, place and asset as the ledger has them, and where in it. */
function where({ line, rule, asset, joint, others }: LedgerEntry, path: string): string {
  const more = others > 0 ? ` and ${counted(others, 'more place')}` : '';
  let place = `at ${codeName(joint ?? '')}${more} of`;
  if (joint === null) place = 'anywhere in';
  else if (joint === '*') place = 'at any joint of';
  return `${codeName(rule)} ${place} ${codeName(asset)}, line ${line} of ${codeName(path)}`;
}
