import { DRAWING_CSS } from '../../draw/drawing-css.js';
import { counted } from '../../report/finding-words.js';
import { CARDS_SCRIPT, worstFirst } from '../cards.js';
import { capital, nameText, text, wholePage } from '../markup.js';
import { levelWords } from '../overview-section.js';
import { barTable, progressTable, quantile, spreadTable } from './charts.js';
import type { ClassCard, ClassData } from './class-data.js';
import { CLASS_STYLE } from './class-style.js';

/** Faults that are listed. */
const MOST_FAULTS = 10;
/** Reasons and pages of one card that are shown. */
const [MOST_REASONS, MOST_PAGES] = [2, 3];

/** The page of a class: how it stands, and a card each. Near copies are not in it, nor who is late. */
export function writeClassPage(data: ClassData): string {
  const { cards, faults, handIns, outOf, tool } = data;
  const points = handIns.at(-1) ?? [];
  const isCourse = handIns.length > 1;
  const body = `<header>
<h1>The class: ${counted(cards.length, 'submission')}</h1>
${figures(data)}
</header>
<main>
<div class="charts">
<section aria-labelledby="faults-title"><h2 id="faults-title">Commonest faults</h2>
${faults.length === 0 ? '<p>Nothing was found in any submission.</p>' : faultTable(data)}</section>
<section aria-labelledby="spread-title"><h2 id="spread-title">How points spread</h2>
${points.length === 0 ? '<p>Nobody has points yet.</p>' : spreadTable(points, outOf)}${gradeTable(data)}</section>
${isCourse ? `<section class="broad" aria-labelledby="progress-title"><h2 id="progress-title">Progress</h2>\n${progressTable(handIns, outOf)}</section>` : ''}
</div>
<h2>Submissions</h2>
<form id="choose" aria-label="Choose what is shown" hidden>
<label>Name <input type="search" id="filter" autocomplete="off"></label>
<label>Show <select id="verdicts"><option value="">all</option><option value="sound">sound</option><option value="unsound">unsound</option><option value="unreadable">unreadable</option></select></label>
<label>Sort by <select id="sort"><option value="given">order given</option><option value="name">name</option><option value="points">points</option><option value="least">fewest points</option>${isCourse ? '<option value="change">change</option>' : ''}<option value="worst">worst first</option></select></label>
</form>
<p id="shown" role="status"></p>
<ul id="cards">
${cards.map((card, at) => cardHtml(card, at, outOf)).join('\n')}
</ul>
</main>
<footer><p>Measured by ${text(tool)}. Each card leads to its feedback.</p></footer>`;
  const style = `${CLASS_STYLE}\n${DRAWING_CSS}`;
  return wholePage({ title: 'The class - trysquare', style, body, script: CARDS_SCRIPT });
}

function figures(data: ClassData): string {
  const { cards, handIns, outOf } = data;
  const points = handIns.at(-1) ?? [];
  const count = (verdict: ClassCard['verdict']): number =>
    cards.filter((card) => card.verdict === verdict).length;
  const figure = (term: string, value: string): string =>
    `<div><dt>${term}</dt><dd>${value}</dd></div>`;
  const median = points.length === 0 ? null : quantile(points, 0.5);
  return `<dl class="figures">${[
    median === null
      ? ''
      : figure(
          'Median',
          `${median.toFixed(1)} <span class="of">of ${outOf}</span>${medianChange(data)}`,
        ),
    figure('Sound', String(count('sound'))),
    figure('Unsound', String(count('unsound'))),
    figure('Not graded yet', String(cards.filter((card) => card.points === null).length)),
  ].join('')}</dl>`;
}

/** How the median has changed, as HTML: of those alone who handed in both times, or other people are compared. */
function medianChange({ cards, handIns }: ClassData): string {
  const both = cards.flatMap(({ points, before }) => {
    const last = before.at(-1) ?? null;
    return points === null || last === null ? [] : [{ points, last }];
  });
  if (both.length === 0) return '';
  const [now, before] = [both.map(({ points }) => points), both.map(({ last }) => last)];
  const change = changeHtml(quantile(now, 0.5) - quantile(before, 0.5));
  const isAll = [handIns.at(-1), handIns.at(-2)].every((points) => points?.length === both.length);
  return ` ${change}${isAll ? '' : ' <span class="of">of those who handed in both times</span>'}`;
}

function faultTable({ faults, cards }: ClassData): string {
  const rows = faults
    .slice(0, MOST_FAULTS)
    .map(({ rule, title, submissions, findings, costs }) => ({
      label: `${text(capital(title))} <code>${text(rule)}</code>${costs ? '' : ' <span class="aside">costs no points</span>'}`,
      value: submissions,
      words: `<strong>${submissions}</strong> <span class="aside">${text(counted(findings, 'finding'))}</span>`,
    }));
  const more = faults.length - rows.length;
  const rest = more > 0 ? `<p class="aside">and ${counted(more, 'more rule')}</p>` : '';
  return `${barTable(['Fault', `Of ${cards.length}`], rows)}${rest}`;
}

/** How many have each grade, from the best that anybody has to the worst; empty where nobody has one. */
function gradeTable({ grades }: ClassData): string {
  const had = grades.map(({ submissions }) => submissions > 0);
  const rows = grades.slice(had.indexOf(true), had.lastIndexOf(true) + 1);
  if (!had.includes(true)) return '';
  return `<h3 id="grades-title">Grades</h3>${barTable(
    ['Grade', 'Submissions'],
    rows.map(({ name, from, submissions }) => ({
      label: `${nameText(name)} <span class="aside">from ${from}</span>`,
      value: submissions,
      words: String(submissions),
    })),
    'short',
  )}`;
}

/** A change in points, as HTML. */
function changeHtml(change: number): string {
  const size = Math.abs(change).toFixed(1);
  if (size === '0.0') return '<span class="change none">no change</span>';
  return change < 0
    ? `<span class="change down">\u2212${size}</span>`
    : `<span class="change up">+${size}</span>`;
}

function cardHtml(card: ClassCard, at: number, outOf: number): string {
  const { name, verdict, counts, points, before, change, first, look, drawing, feedback } = card;
  const data = [
    `data-at="${at}"`,
    `data-name="${nameText(name.toLowerCase())}"`,
    `data-verdict="${verdict}"`,
    `data-worst="${worstFirst(verdict, counts)}"`,
    points !== null && `data-points="${points}"`,
    change !== null && `data-change="${change}"`,
  ].filter(Boolean);
  const gain = change === null ? '' : ` ${changeHtml(change)}`;
  const score =
    points === null
      ? '<p class="score none">Not graded yet</p>'
      : `<p class="score">${points.toFixed(1)} <span class="of">of ${outOf}</span>${gain}</p>${gradeHtml(card)}`;
  const earlier = (before.some((mark) => mark !== null) ? before : []).map((mark) =>
    mark === null ? '\u2013' : mark.toFixed(1),
  );
  const trail = earlier.length === 0 ? '' : `<p class="aside">Before: ${earlier.join(', ')}</p>`;
  const reasons = look
    .slice(0, MOST_REASONS)
    .map((reason) => `<p class="look">${nameText(reason)}</p>`);
  const fix =
    first === null
      ? 'Nothing has to be fixed.'
      : `<span class="aside">Fix first:</span> ${nameText(first)}`;
  return `<li class="card" ${data.join(' ')}>
<div class="shape">${drawing === '' ? '<span class="aside">No drawing</span>' : drawing}</div>
<h3><a href="${text(feedback)}">${nameText(name)}</a></h3>
${score}
<p class="state"><span class="verdict ${verdict}">${capital(verdict)}</span> ${verdict === 'unreadable' ? '' : `<span class="aside">${text(found(counts))}</span>`}</p>
${trail}${reasons.join('')}${points === null && first === null ? '' : `<p class="first">${fix}</p>`}${pagesHtml(card)}
</li>`;
}

function gradeHtml({ grade, gradeBefore }: ClassCard): string {
  if (grade === null) return '';
  const isOther = gradeBefore !== null && gradeBefore !== grade;
  const before = isOther ? ` <span class="aside">was ${nameText(gradeBefore)}</span>` : '';
  return `<p class="grade"><strong>Grade ${nameText(grade)}</strong>${before}</p>`;
}

function found(counts: ClassCard['counts']): string {
  const words = levelWords(counts);
  return words === 'none' ? 'no findings' : words;
}

function pagesHtml({ pages, verdict }: ClassCard): string {
  if (pages.length === 0) return '';
  const links = pages.slice(0, MOST_PAGES).map(({ name, address }) => {
    // A file that cannot be read has a page that says so, and no view on it.
    const alone = verdict === 'unreadable' ? 'Its page' : 'Live view';
    const words = pages.length === 1 ? alone : name;
    return `<a href="${text(address)}">${nameText(words)}</a>`;
  });
  const more = pages.length - links.length;
  return `<p class="pages">${links.join(' ')}${more > 0 ? ` <span class="aside">and ${more} more</span>` : ''}</p>`;
}
