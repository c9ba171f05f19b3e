import { LEVELS } from '../kit/finding.js';
import { groupBy } from '../rig/group-by.js';
import {
  assetName,
  countedLevels,
  findingWords,
  joined,
  unreadableWords,
  waiverWords,
} from './finding-words.js';
import { folded, type MarkdownPage } from './markdown-page.js';
import { codeName, sentenceText } from './markdown-text.js';
import { alsoWords, otherPlaces } from './places.js';
import type { AssetReport, FindingReport } from './report-types.js';

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
    { findings: first.slice(0, OPEN), opening: '', closing: '' },
    { findings: more, ...folded(`${countedLevels(more).join(', ')} more`) },
    { findings: later, ...folded(countedLevels(later).join(', ')) },
    { findings: waived, ...folded(`${waived.length} waived`) },
  ];
  let left = asset.findings.length;
  let title = heading(asset);
  for (const { findings, opening, closing } of lists) {
    const shown = page.addList(`${title}${opening}`, itemsOf(findings, asset), closing);
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
  const { opening, closing } = folded(joined(counts, ', '));
  const items = itemsOf([...open, ...waived], asset);
  return asset.findings.length - page.addList(`${heading(asset)}${opening}`, items, closing);
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
    const { level, rule, place, waived } = finding;
    const rig = rigs.length > 1 ? rigs.find(({ index }) => index === finding.rig) : undefined;
    const head = joined([
      `- **${level}** ${codeName(rule)}`,
      place.path !== '' && `at ${place.kind} ${codeName(place.path)}`,
      rig !== undefined && `of rig ${codeName(rig.name)}`,
    ]);
    const also = alsoWords(otherPlaces(finding));
    const words = [
      findingWords(finding),
      ...(also === '' ? [] : [also]),
      ...(waived === undefined ? [] : [waiverWords(waived)]),
    ];
    yield `${head}: ${words.map(sentenceText).join(' ')}`;
  }
}
