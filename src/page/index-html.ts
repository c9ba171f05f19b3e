import { DRAWING_CSS } from '../draw/drawing-css.js';
import { assetName, stoppedWords } from '../report/finding-words.js';
import type { AssetReport, ReportEnd, ReportHead, Verdict } from '../report/report-types.js';
import { countedVerdicts, VERDICTS, verdictClass } from '../report/verdicts.js';
import { CARDS_SCRIPT, CARDS_STYLE, worstFirst } from './cards.js';
import { dataBlock, nameText, text, wholePage } from './markup.js';
import { capital, levelWords } from './overview-section.js';

/** What the index keeps of an asset once its page is written. */
export type IndexCard = ReturnType<typeof cardOf>;

/**
 * @param page Address of its page, relative to the index.
 * @param silhouette Small drawing, or empty.
 */
export function cardOf(asset: AssetReport, page: string, silhouette: string) {
  const { verdict, counts, unreadable } = asset;
  const reason = unreadable?.reason ?? null;
  const approved = asset.approved ?? null;
  return { name: assetName(asset), verdict, counts, reason, page, silhouette, approved };
}

/** The contact sheet of a list: a card each, leading to its page, to be sorted and filtered. */
export function writeIndex(
  title: string,
  cards: readonly IndexCard[],
  { tool }: ReportHead,
  end: ReportEnd | null,
): string {
  const several = approvedOf(cards).length > 1;
  const body = `<header>
<h1>${text(title)}</h1>
<p class="lead">${text(leadOf(cards, end))}</p>
</header>
<main>
<form id="choose" aria-label="Choose what is shown" hidden>
<label>Name <input type="search" id="filter" autocomplete="off"></label>
<label>Show <select id="verdicts"><option value="">all</option>${VERDICTS.map((verdict) => `<option value="${verdict}">${verdict}</option>`).join('')}</select></label>
<label>Sort by <select id="sort"><option value="given">order given</option><option value="name">name</option><option value="worst">worst first</option></select></label>
</form>
<p id="shown" role="status"></p>
<ul id="cards">
${cards.map((card, index) => cardHtml(card, index, several)).join('\n')}
</ul>
</main>
<footer><p>${text(`Measured by ${tool.name} ${tool.version}.`)} Each card is a link to its own page.</p></footer>
${dataBlock('totals', JSON.stringify(end?.totals ?? null))}`;
  const style = `${CARDS_STYLE}\n${DRAWING_CSS}`;
  return wholePage({ title: `${title} - trysquare`, style, body, script: CARDS_SCRIPT });
}

function leadOf(cards: readonly IndexCard[], end: ReportEnd | null): string {
  const count = (verdict: Verdict): number =>
    cards.filter((card) => card.verdict === verdict).length;
  const words = countedVerdicts({
    sound: count('sound'),
    unsound: count('unsound'),
    unreadable: count('unreadable'),
    'nothing to judge': count('nothing to judge'),
  });
  const stopped = end?.partial == null ? '' : ` ${stoppedWords(end.partial)}`;
  const approved = approvedOf(cards);
  const [only] = approved;
  const compared = approved.length === 1 ? ` Compared with ${only}.` : '';
  return `${words.join(', ') || 'Nothing checked'}.${compared}${stopped}`;
}

/** What the assets were compared with, each once. */
function approvedOf(cards: readonly IndexCard[]): string[] {
  return [...new Set(cards.flatMap(({ approved }) => approved ?? []))];
}

/** @param several Whether not all were compared with one approved asset. */
function cardHtml(card: IndexCard, index: number, several: boolean): string {
  const { approved, name, verdict, counts, reason, page, silhouette } = card;
  const compared =
    several && approved !== null
      ? `\n<p class="aside">Compared with ${nameText(approved)}</p>`
      : '';
  return `<li class="card" data-at="${index}" data-name="${nameText(name.toLowerCase())}" data-verdict="${verdict}" data-worst="${worstFirst(verdict, counts)}">
<div class="shape">${silhouette}</div>
<h2><a href="${text(page)}">${nameText(name)}</a></h2>
<p class="verdict ${verdictClass(verdict)}">${capital(verdict)}</p>
<p class="aside">${text(reason ?? `Findings: ${levelWords(counts)}`)}</p>${compared}
</li>`;
}
