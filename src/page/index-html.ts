import { DRAWING_CSS } from '../draw/drawing-css.js';
import { assetName, stoppedWords } from '../report/finding-words.js';
import type { AssetReport, ReportEnd, ReportHead, Verdict } from '../report/report-types.js';
import { type RuleCounts, RuleTally, ruleCounts } from '../report/rule-tally.js';
import { countedVerdicts, VERDICTS, verdictClass } from '../report/verdicts.js';
import { CARDS_SCRIPT, CARDS_STYLE, NARROW_CARDS, worstFirst } from './cards.js';
import { capital, dataBlock, nameText, text, wholePage } from './markup.js';
import { levelWords } from './overview-section.js';

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
  const rules = ruleCounts(asset);
  const name = assetName(asset);
  return { name, verdict, counts, rules, reason, page, silhouette, approved };
}

/** The contact sheet of a list: a card each, leading to its page, to be sorted and filtered. */
export function writeIndex(
  title: string,
  cards: readonly IndexCard[],
  { tool }: ReportHead,
  end: ReportEnd | null,
): string {
  const several = approvedOf(cards).length > 1;
  const rules = rulesOf(cards);
  const body = `<header>
<h1>${text(title)}</h1>
<p class="lead">${text(leadOf(cards, end))}</p>
</header>
<main>
<form id="choose" aria-label="Choose what is shown" hidden>
<label>Name <input type="search" id="filter" autocomplete="off"></label>
<label>Show <select id="verdicts"><option value="">all</option>${VERDICTS.map((verdict) => `<option value="${verdict}">${verdict}</option>`).join('')}</select></label>
${
  rules.length === 0
    ? ''
    : `<label>Rule <select id="rules"><option value="">any</option>${rules.map(({ rule, assets }) => `<option value="${text(rule)}">${text(rule)} (${assets})</option>`).join('')}</select></label>
`
}<label>Sort by <select id="sort"><option value="given">order given</option><option value="name">name</option><option value="worst">worst first</option></select></label>
</form>
<p id="shown" role="status"></p>
${tallyHtml(rules)}<ul id="cards">
${cards.map((card, index) => cardHtml(card, index, several)).join('\n')}
</ul>
</main>
<footer><p>${text(`Measured by ${tool.name} ${tool.version}.`)} Each card is a link to its own page.</p></footer>
${dataBlock('totals', JSON.stringify(end?.totals ?? null))}`;
  const style = `${CARDS_STYLE}\n${TALLY_STYLE}\n${DRAWING_CSS}`;
  return wholePage({ title: `${title} - trysquare`, style, body, script: CARDS_SCRIPT });
}

/** What each rule found in all cards. */
function rulesOf(cards: readonly IndexCard[]): RuleCounts[] {
  const tally = new RuleTally();
  for (const { rules } of cards) tally.addCounts(rules);
  return tally.rules();
}

/** Tables of more rules are folded. */
const OPEN_RULES = 8;

function tallyHtml(rules: readonly RuleCounts[]): string {
  if (rules.length === 0) return '';
  const rows = rules.map(
    ({ rule, assets, counts: { error, warning, note } }) =>
      `<tr><th scope="row"><code>${text(rule)}</code></th><td>${assets}</td><td>${error || ''}</td><td>${warning || ''}</td><td>${note || ''}</td></tr>`,
  );
  return `<details id="tally"${rules.length > OPEN_RULES ? '' : ' open'}><summary>Findings by rule</summary>
<table><thead><tr><th scope="col">Rule</th><th scope="col">Files</th><th scope="col">Errors</th><th scope="col">Warnings</th><th scope="col">Notes</th></tr></thead><tbody>
${rows.join('\n')}
</tbody></table></details>
`;
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

/** The path of a file, its folder on a line of its own. */
function pathHtml(path: string): string {
  const at = path.lastIndexOf('/') + 1;
  const folder = at === 0 ? '' : `<span class="folder">${nameText(path.slice(0, at))}</span>`;
  return `${folder}${nameText(path.slice(at))}`;
}

/** @param several Whether not all were compared with one approved asset. */
function cardHtml(card: IndexCard, index: number, several: boolean): string {
  const { approved, name, verdict, counts, rules, reason, page, silhouette } = card;
  const compared =
    several && approved !== null
      ? `\n<p class="aside">Compared with ${nameText(approved)}</p>`
      : '';
  return `<li class="card" data-at="${index}" data-name="${nameText(name.toLowerCase())}" data-verdict="${verdict}" data-worst="${worstFirst(verdict, counts)}" data-rules="${text([...rules.keys()].join(' '))}">
<div class="shape">${silhouette === '' ? '<span class="aside">No drawing</span>' : silhouette}</div>
<h2><a href="${text(page)}">${pathHtml(name)}</a></h2>
<p class="verdict ${verdictClass(verdict)}">${capital(verdict)}</p>
<p class="aside">${text(capital(reason ?? `Findings: ${levelWords(counts)}`))}</p>${compared}
</li>`;
}

const TALLY_STYLE = `.card .folder{display:block;font-size:.85rem;font-weight:400}
#tally{margin:0 0 1.2rem;max-width:44rem}
#tally summary{cursor:pointer;padding:.5rem 0;font-weight:600}
#tally table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
#tally :is(th,td){text-align:left;padding:.3rem .8rem .3rem 0;border-top:1px solid var(--rule);font-weight:400}
#tally :is(td,th+th){text-align:right}
#tally thead th{color:var(--quiet);border:0}
#tally :is(th,td,code){overflow-wrap:normal}
@media (max-width:34rem){#tally table{font-size:.9rem}#tally :is(th,td){padding-right:0}#tally :is(td,th+th){padding-left:.5rem}}
${NARROW_CARDS}
@media print{:root{--paper:#fff;--card:#fff;--ink:#000;--quiet:#444;--rule:#bbb;--accent:#000;--error:#900;--warning:#640;--note:#035;--sound:#040}html{font-size:10pt}body{max-width:none;padding:0}#cards{grid-template-columns:repeat(3,minmax(0,1fr));gap:4mm}.shape{height:28mm}a{text-decoration:none}#tally{break-inside:avoid}}`;
