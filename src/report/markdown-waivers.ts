import type { LedgerEntry, LedgerReport } from '../waivers/ledger-report.js';
import { folded, MarkdownPage } from './markdown-page.js';
import { codeName } from './markdown-text.js';

/** Waivers that stand open; the others are folded. */
const OPEN = 10;

/**
 * Adds the waivers that need a look: those past their day, then those that fit nothing any more.
 * Returns how many had no room.
 */
export function addWaivers({ path, expired, unmatched }: LedgerReport, page: MarkdownPage): number {
  const items = [
    ...expired.map(
      (entry) =>
        `- Past its day (${codeName(entry.until ?? '')}), so that it waives nothing: ${where(entry, path)}. Mend the fault, or set another day.`,
    ),
    ...unmatched.map(
      (entry) =>
        `- Fits no finding: ${where(entry, path)}. Take it out if the fault is mended, or name the asset and joint as they are called now.`,
    ),
  ];
  // A third of the room at most: what is at fault in the assets is to follow.
  const part = new MarkdownPage(page.room / 3);
  const open = items.slice(0, OPEN);
  const more = items.slice(OPEN);
  let shown = part.addList('### Waivers to look at\n\n', open, '');
  if (shown === open.length && more.length > 0) {
    const { opening, closing } = folded(`${more.length} more`);
    shown += part.addList(opening, more, closing);
  }
  page.addPage(part);
  return items.length - shown;
}

/** Rule, place and asset as the ledger has them, and where in it. */
function where({ line, rule, asset, joint }: LedgerEntry, path: string): string {
  return `${codeName(rule)} ${placeWords(joint)} ${codeName(asset)}, line ${line} of ${codeName(path)}`;
}

function placeWords(joint: string | null): string {
  if (joint === null) return 'anywhere in';
  return joint === '*' ? 'at any joint of' : `at joint ${codeName(joint)} of`;
}
