import { LEVELS } from '../kit/finding.js';
import { assetName, counted, findingWords, unreadableWords, waiverWords } from './finding-words.js';
import { folded, type MarkdownPage } from './markdown-page.js';
import { codeName, sentenceText } from './markdown-text.js';
import { alsoWords, otherPlaces } from './places.js';
import type { AssetReport, FindingReport } from './report-types.js';

/** Findings of an asset that stand open; the others are folded. */
const OPEN = 10;

/** Adds why it cannot be read; returns 1 when there was no room for that. */
export function addUnreadable(asset: AssetReport, page: MarkdownPage): number {
  const words = asset.unreadable === null ? '' : unreadableWords(asset.unreadable);
  return page.add(`${heading(asset)}\n\nCannot be read: ${sentenceText(words)}`) ? 0 : 1;
}

/** Adds the findings that fit, the gravest first; returns how many did not. */
export function addUnsound(asset: AssetReport, page: MarkdownPage): number {
  const { standing, waived } = sorted(asset);
  const grave = standing.filter(({ level }) => level !== 'note');
  const notes = standing.filter(({ level }) => level === 'note');
  // Where notes fail as well, there may be nothing graver to show.
  const [first, later] = grave.length > 0 ? [grave, notes] : [notes, []];
  const more = first.slice(OPEN);
  const lists: readonly Listed[] = [
    { findings: first.slice(0, OPEN), opening: '', closing: '' },
    { findings: more, ...folded(`${levelCounts(more)} more`) },
    { findings: later, ...folded(levelCounts(later)) },
    { findings: waived, ...folded(`${waived.length} waived`) },
  ];
  let left = asset.findings.length;
  let title = `${heading(asset)}\n\n`;
  for (const { findings, opening, closing } of lists) {
    const shown = page.addList(`${title}${opening}`, itemsOf(findings, asset), closing);
    if (shown > 0) title = '';
    left -= shown;
    // A note that happens to fit is not to stand in for an error that does not.
    if (shown < findings.length) break;
  }
  return left;
}

interface Listed {
  readonly findings: readonly FindingReport[];
  readonly opening: string;
  readonly closing: string;
}

/** The same for an asset whose findings are all below the failing level, or waived. */
export function addSound(asset: AssetReport, page: MarkdownPage): number {
  const { standing, waived } = sorted(asset);
  const parts = [levelCounts(standing), ...(waived.length > 0 ? [`${waived.length} waived`] : [])];
  const { opening, closing } = folded(parts.filter((part) => part !== '').join(', '));
  const all = [...standing, ...waived];
  return all.length - page.addList(`${heading(asset)}\n\n${opening}`, itemsOf(all, asset), closing);
}

function heading(asset: AssetReport): string {
  return `### ${codeName(assetName(asset))}: ${asset.verdict}`;
}

/** Worst first, in report order within a level; waived ones apart. */
function sorted({ findings }: AssetReport): {
  readonly standing: readonly FindingReport[];
  readonly waived: readonly FindingReport[];
} {
  const standing = findings.filter((finding) => finding.waived === undefined);
  return {
    standing: LEVELS.flatMap((level) => standing.filter((item) => item.level === level)),
    waived: findings.filter((finding) => finding.waived !== undefined),
  };
}

/** `2 errors, 1 note`. */
function levelCounts(findings: readonly FindingReport[]): string {
  return LEVELS.flatMap((level) => {
    const own = findings.filter((finding) => finding.level === level).length;
    return own === 0 ? [] : [counted(own, level)];
  }).join(', ');
}

function* itemsOf(findings: readonly FindingReport[], { rigs }: AssetReport): Generator<string> {
  for (const finding of findings) {
    const { level, rule, place, waived } = finding;
    const rig = rigs.length > 1 ? rigs.find(({ index }) => index === finding.rig) : undefined;
    const at = [
      ...(place.path === '' ? [] : [` at ${place.kind} ${codeName(place.path)}`]),
      ...(rig === undefined ? [] : [` of rig ${codeName(rig.name)}`]),
    ].join('');
    const also = alsoWords(otherPlaces(finding));
    const words = [
      findingWords(finding),
      ...(also === '' ? [] : [also]),
      ...(waived === undefined ? [] : [waiverWords(waived)]),
    ];
    yield `- **${level}** ${codeName(rule)}${at}: ${words.map(sentenceText).join(' ')}`;
  }
}
