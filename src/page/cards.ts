import type { AssetReport } from '../report/report-types.js';
import { COMMON_STYLE } from './page-style.js';

/** What cards are sorted by, the worst first. */
export function worstFirst(
  verdict: AssetReport['verdict'],
  { error, warning, note }: AssetReport['counts'],
): number {
  return verdict === 'unreadable' ? 1e12 : 1e6 * error + 1e3 * warning + note;
}

/** A list of cards, to be sorted and filtered. */
export const CARDS_STYLE = `${COMMON_STYLE}
body{max-width:92rem}
#choose{display:flex;flex-wrap:wrap;gap:.6rem 1.2rem;margin:1rem 0}
#choose label{display:flex;align-items:center;gap:.5rem;color:var(--quiet)}
#choose select,#choose input{color:var(--ink)}
#shown{color:var(--quiet)}
#cards{list-style:none;padding:0;margin:0;display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,13rem),1fr));gap:1rem}
.card{position:relative;background:var(--card);border:1px solid var(--rule);border-radius:.6rem;padding:.9rem;content-visibility:auto;contain-intrinsic-size:auto 20rem}
.card:hover{border-color:var(--accent)}
.card h2{font-size:1rem;margin:.6rem 0 .4rem;padding:0;border:0}
.card h2 a::after{content:"";position:absolute;inset:0}
.card p.aside{font-size:.9rem;margin-bottom:0}
.shape{height:11rem;display:flex;align-items:center;justify-content:center}
.shape .aside{font-size:.9rem}
.shape svg{max-width:100%;max-height:100%;width:auto;height:100%}
@media (max-width:34rem){#choose label{display:grid;grid-template-columns:4.2rem minmax(0,1fr);width:100%}#choose :is(select,input){width:100%;min-width:0}}
@media print{#choose,#shown{display:none}.card{break-inside:avoid;content-visibility:visible}}
`;

/** On a phone a card has its drawing beside its words. It goes after what else a page says of its cards. */
export const NARROW_CARDS =
  '@media (max-width:34rem){.card{display:grid;grid-template-columns:6.5rem minmax(0,1fr);column-gap:.9rem;align-content:start;contain-intrinsic-size:auto 11rem}.card>*{grid-column:2;justify-self:start}.card .shape{grid-column:1;grid-row:1/span 9;height:6rem}.card :is(h2,h3){margin-top:0}}';

/** Sorts and filters the cards; without scripts all are shown in the order given. */
export const CARDS_SCRIPT = `
(() => {
  const list = document.getElementById('cards');
  const cards = [...list.children];
  const filter = document.getElementById('filter');
  const verdicts = document.getElementById('verdicts');
  const rules = document.getElementById('rules');
  const sort = document.getElementById('sort');
  const shown = document.getElementById('shown');
  const number = (card, key) => Number(card.dataset[key] ?? -1e6);
  const orders = {
    given: (a, b) => number(a, 'at') - number(b, 'at'),
    name: (a, b) => a.dataset.name.localeCompare(b.dataset.name, 'en', { numeric: true }),
    worst: (a, b) => number(b, 'worst') - number(a, 'worst'),
    points: (a, b) => number(b, 'points') - number(a, 'points'),
    least: (a, b) => Number(a.dataset.points ?? 1e6) - Number(b.dataset.points ?? 1e6),
    change: (a, b) => number(b, 'change') - number(a, 'change'),
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
