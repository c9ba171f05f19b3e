import { DRAWING_CSS } from '../draw/drawing-css.js';
import { assetName, stoppedWords } from '../report/finding-words.js';
import type { AssetReport, ReportEnd, ReportHead } from '../report/report-types.js';
import { type RuleCounts, RuleTally, ruleCounts } from '../report/rule-tally.js';
import { capital, dataBlock, nameText, text, wholePage } from './markup.js';
import { levelWords } from './overview-section.js';
import { COMMON_STYLE } from './page-style.js';

/** What the index keeps of an asset once its page is written. */
export type IndexCard = ReturnType<typeof cardOf>;

/**
 * @param page Address of its page, relative to the index.
 * @param silhouette Small drawing, or empty.
 * @param points To sort by, with their words; null where nothing was graded.
 */
export function cardOf(
  asset: AssetReport,
  page: string,
  silhouette: string,
  points: { readonly value: number; readonly words: string } | null = null,
) {
  const { verdict, counts, unreadable } = asset;
  const reason = unreadable?.reason ?? null;
  const approved = asset.approved ?? null;
  const rules = ruleCounts(asset);
  const name = assetName(asset);
  return { name, verdict, counts, rules, reason, page, silhouette, points, approved };
}

/** The contact sheet of a list: a card each, leading to its page, to be sorted and filtered. */
export function writeIndex(
  title: string,
  cards: readonly IndexCard[],
  { tool }: ReportHead,
  end: ReportEnd | null,
): string {
  const graded = cards.some(({ points }) => points !== null);
  const several = approvedOf(cards).length > 1;
  const rules = rulesOf(cards);
  const body = `<header>
<h1>${text(title)}</h1>
<p class="lead">${text(leadOf(cards, end))}</p>
</header>
<main>
<form id="choose" aria-label="Choose what is shown" hidden>
<label>Name <input type="search" id="filter" autocomplete="off"></label>
<label>Show <select id="verdicts"><option value="">all</option><option value="sound">sound</option><option value="unsound">unsound</option><option value="unreadable">unreadable</option></select></label>
${
  rules.length === 0
    ? ''
    : `<label>Rule <select id="rules"><option value="">any</option>${rules.map(({ rule, assets }) => `<option value="${text(rule)}">${text(rule)} (${assets})</option>`).join('')}</select></label>
`
}<label>Sort by <select id="sort"><option value="given">order given</option><option value="name">name</option><option value="worst">worst first</option>${graded ? '<option value="points">points</option>' : ''}</select></label>
</form>
<p id="shown" role="status"></p>
${tallyHtml(rules)}<ul id="cards">
${cards.map((card, index) => cardHtml(card, index, several)).join('\n')}
</ul>
</main>
<footer><p>${text(`Measured by ${tool.name} ${tool.version}.`)} Each card is a link to its own page.</p></footer>
${dataBlock('totals', JSON.stringify(end?.totals ?? null))}`;
  const style = `${INDEX_STYLE}\n${DRAWING_CSS}`;
  return wholePage({ title: `${title} - trysquare`, style, body, script: INDEX_SCRIPT });
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
  const words = (['sound', 'unsound', 'unreadable'] as const).flatMap((verdict) => {
    const count = cards.filter((card) => card.verdict === verdict).length;
    return count === 0 ? [] : [`${count} ${verdict}`];
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
  const { approved, name, verdict, counts, rules, reason, page, silhouette, points } = card;
  const weight = 1e6 * counts.error + 1e3 * counts.warning + counts.note;
  const worst = verdict === 'unreadable' ? 1e12 : weight;
  const data = points === null ? '' : ` data-points="${points.value}"`;
  const pointsHtml = points === null ? '' : ` <span class="points">${text(points.words)}</span>`;
  const compared =
    several && approved !== null
      ? `\n<p class="aside">Compared with ${nameText(approved)}</p>`
      : '';
  return `<li class="card" data-at="${index}" data-name="${nameText(name.toLowerCase())}" data-verdict="${verdict}" data-worst="${worst}" data-rules="${text([...rules.keys()].join(' '))}"${data}>
<div class="shape">${silhouette}</div>
<h2><a href="${text(page)}">${nameText(name)}</a></h2>
<p class="verdict ${verdict}">${capital(verdict)}</p>${pointsHtml}
<p class="aside">${text(reason ?? `Findings: ${levelWords(counts)}`)}</p>${compared}
</li>`;
}

const INDEX_STYLE = `${COMMON_STYLE}
body{max-width:92rem}
#choose{display:flex;flex-wrap:wrap;gap:.6rem 1.2rem;margin:1rem 0}
#choose label{display:flex;align-items:center;gap:.5rem;color:var(--quiet)}
#choose select,#choose input{color:var(--ink)}
#shown{color:var(--quiet)}
#tally{margin:0 0 1.2rem;max-width:44rem}
#tally summary{cursor:pointer;padding:.5rem 0;font-weight:600}
#tally table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
#tally :is(th,td){text-align:left;padding:.3rem .8rem .3rem 0;border-top:1px solid var(--rule);font-weight:400}
#tally :is(td,th+th){text-align:right}
#tally thead th{color:var(--quiet);border:0}
#cards{list-style:none;padding:0;margin:0;display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,13rem),1fr));gap:1rem}
.card{position:relative;background:var(--card);border:1px solid var(--rule);border-radius:.6rem;padding:.9rem;content-visibility:auto;contain-intrinsic-size:auto 20rem}
.card:hover{border-color:var(--accent)}
.card h2{font-size:1rem;margin:.6rem 0 .4rem;padding:0;border:0}
.card h2 a::after{content:"";position:absolute;inset:0}
.card p.aside{font-size:.9rem;margin-bottom:0}
.shape{height:11rem;display:flex;align-items:center;justify-content:center}
.shape svg{max-width:100%;max-height:100%;width:auto;height:100%}
@media print{#choose,#shown{display:none}.card{break-inside:avoid;content-visibility:visible}}
`;

/** Sorts and filters the cards; without scripts all are shown in the order given. */
const INDEX_SCRIPT = `
(() => {
  const list = document.getElementById('cards');
  const cards = [...list.children];
  const filter = document.getElementById('filter');
  const verdicts = document.getElementById('verdicts');
  const rules = document.getElementById('rules');
  const sort = document.getElementById('sort');
  const shown = document.getElementById('shown');
  const number = (card, key) => Number(card.dataset[key] ?? -1);
  const orders = {
    given: (a, b) => number(a, 'at') - number(b, 'at'),
    name: (a, b) => a.dataset.name.localeCompare(b.dataset.name, 'en', { numeric: true }),
    worst: (a, b) => number(b, 'worst') - number(a, 'worst'),
    points: (a, b) => number(b, 'points') - number(a, 'points'),
  };
  const apply = () => {
    const wanted = filter.value.trim().toLowerCase();
    let count = 0;
    for (const card of cards) {
      const fits = card.dataset.name.includes(wanted) && (verdicts.value === '' || card.dataset.verdict === verdicts.value)
        && (!rules?.value || card.dataset.rules.split(' ').includes(rules.value));
      card.hidden = !fits;
      if (fits) count++;
    }
    list.append(...[...cards].sort((a, b) => orders[sort.value](a, b) || number(a, 'at') - number(b, 'at')));
    shown.textContent = count === cards.length ? '' : count + ' of ' + cards.length + ' shown';
  };
  document.getElementById('choose').hidden = false;
  document.getElementById('choose').addEventListener('submit', (event) => event.preventDefault());
  addEventListener('beforeprint', () => { for (const folded of document.querySelectorAll('details')) folded.open = true; });
  for (const field of [filter, verdicts, sort, ...(rules ? [rules] : [])]) field.addEventListener('input', apply);
  apply();
})();
`;
