import { LEVELS } from '../kit/finding.js';
import { groupBy } from '../rig/group-by.js';
import {
  assetName,
  counted,
  countedLevels,
  failedWords,
  joined,
  unreadableWords,
} from './finding-words.js';
import type { LedgerEntry, LedgerReport } from './ledger-report.js';
import { MarkdownPage } from './markdown-page.js';
import { codeName, sentenceText } from './markdown-text.js';
import { findingSentences } from './places.js';
import type { AssetReport, FindingReport } from './report-types.js';
import { waiverSummary } from './waiver-words.js';

/** Findings of an asset that are shown at once; the others are folded. */
const OPEN = 10;

/** Adds why it cannot be read; returns 1 when there was no room for that. */
export function addUnreadable(asset: AssetReport, page: MarkdownPage): number {
  const words = asset.unreadable === null ? '' : unreadableWords(asset.unreadable);
  return page.add(`${heading(asset)}Cannot be read: ${sentenceText(words)}`) ? 0 : 1;
}

/** Adds the findings that fit, the gravest first; returns how many did not. */
export function addUnsound(asset: AssetReport, page: MarkdownPage): number {
  const { open, waived } = sorted(asset);
  const grave = open.filter(({ level }) => level !== 'note');
  const notes = open.filter(({ level }) => level === 'note');
  // Where notes fail as well, there may be nothing graver to show.
  const [first, later] = grave.length > 0 ? [grave, notes] : [notes, []];
  const more = first.slice(OPEN);
  const lists = [
    [first.slice(0, OPEN), ''],
    [more, `${countedLevels(more).join(', ')} more`],
    [later, countedLevels(later).join(', ')],
    [waived, `${waived.length} waived`],
  ] as const;
  let left = asset.findings.length;
  let title = heading(asset);
  for (const [findings, summary] of lists) {
    const shown = page.addList(title, itemsOf(findings, asset), summary);
    if (shown > 0) title = '';
    left -= shown;
    // A note that happens to fit is not to replace an error that does not.
    if (shown < findings.length) break;
  }
  return left;
}

/** The same for an asset whose findings are all below the failing level, or waived. */
export function addSound(asset: AssetReport, page: MarkdownPage): number {
  const { open, waived } = sorted(asset);
  const counts = [...countedLevels(open), waived.length > 0 && `${waived.length} waived`];
  const items = itemsOf([...open, ...waived], asset);
  return asset.findings.length - page.addList(heading(asset), items, joined(counts, ', '));
}

function heading(asset: AssetReport): string {
  return `### ${codeName(assetName(asset))}: ${asset.verdict}\n\n`;
}

/** Worst first, in report order within a level; waived ones apart. */
function sorted({ findings }: AssetReport): Record<'open' | 'waived', FindingReport[]> {
  const open = findings.filter((finding) => finding.waived === undefined);
  const byLevel = groupBy(open, ({ level }) => level);
  return {
    open: LEVELS.flatMap((level) => byLevel.get(level) ?? []),
    waived: findings.filter((finding) => finding.waived !== undefined),
  };
}

function* itemsOf(findings: readonly FindingReport[], { rigs }: AssetReport): Generator<string> {
  for (const finding of findings) {
    const { level, rule, place } = finding;
    const rig = rigs.length > 1 ? rigs.find(({ index }) => index === finding.rig) : undefined;
    const head = joined([
      `- **${level}** ${codeName(rule)}`,
      place.path !== '' && `at ${place.kind} ${codeName(place.path)}`,
      rig !== undefined && `of rig ${codeName(rig.name)}`,
    ]);
    yield `${head}: ${findingSentences(finding).map(sentenceText).join(' ')}`;
  }
}

/**
 * Adds the waivers that need a look: how many there are, and, folded, those past their day, those
 * without a finding and those that do not say what they accepted. Returns how many had no room.
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
  const shown = part.addList(title, items, `${items.length} in all`);
  page.addPage(part);
  return items.length - shown;
}

/** Adds the rules that failed; returns how many had no room. */
export function addFailed(assets: readonly AssetReport[], page: MarkdownPage): number {
  const items = assets.flatMap((asset) =>
    (asset.failed ?? []).map(
      (failed) => `- ${codeName(assetName(asset))}: ${sentenceText(failedWords(failed, asset))}`,
    ),
  );
  if (items.length === 0) return 0;
  // As for waivers, the room is for what is at fault in the assets.
  const part = new MarkdownPage(page.room / 3);
  const shown = part.addList('### Rules that failed\n\n', items, '');
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
