import { drawingCss } from '../../draw/drawing-css.js';
import { counted, shortened } from '../../report/finding-words.js';
import { nameText, text, wholePage } from '../markup.js';
import { FEEDBACK_STYLE } from './feedback-style.js';
import { blockHtml, blocksOf, inlineHtml, type Section, sectionsOf } from './markdown-html.js';

/** What a page of feedback is made from. */
export interface FeedbackPage {
  readonly name: string;
  /** All of the feedback, of which the page shows as much as two sheets of paper hold. */
  readonly markdown: string;
  /** Name of the file with all of it, in the same folder. */
  readonly file: string;
  /** A drawing each rig, with what its numbers stand for. */
  readonly drawings: readonly FeedbackDrawing[];
  /** Pages of the rigs, from the folder of the feedback. */
  readonly pages: readonly { readonly name: string; readonly address: string }[];
  readonly tool: string;
}

export interface FeedbackDrawing {
  readonly svg: string;
  /** What is marked in it, by the numbers of the list of what to fix. */
  readonly marks: readonly {
    readonly number: number;
    readonly rule: string;
    /** Names of the joints that it is about. */
    readonly names: readonly string[];
  }[];
  /** Joints that have something to fix, and no number, mostly for want of room. */
  readonly unmarked: number;
}

/**
 * Lines of text that two sheets hold beside the drawing and the table of points: A4 and Letter, at the
 * size of letters that the page prints with. Taken from prints, and some lines fewer.
 */
const SHEET_LINES = 64;
/** Letters of a line on such a sheet. */
const LINE_LETTERS = 96;
/** Drawings, marks of one, and findings of one rule that the page shows. */
const [MOST_DRAWINGS, MOST_MARKS, MOST_FINDINGS] = [2, 12, 3];
/** Lines of what stands above the drawing, of what was mended, of the model, and of what is good; titles of what is only named. */
const [TOP_LINES, NEWS_LINES, MODEL_LINES, GOOD_LINES, MOST_TITLES] = [16, 10, 14, 10, 12];
/** Lines of what is good, and titles, that are shown however little room there is. */
const LEAST_SHOWN = 3;
/** Letters of the names of one mark below a drawing, and how many of them count those that are left out. */
const [MARK_LETTERS, MORE_LETTERS] = [34, 12];
/** Lines that a second drawing takes. */
const DRAWING_LINES = 20;
/** Lines of one item of a list that a sheet shows, as the style has it. */
const ITEM_LINES = 5;
/** Lines that a list of an item less takes. */
const TITLE_LINES = 3;

/** The feedback as a page: self-contained, without a script, and on two sheets of paper at most. */
export function writeFeedbackPage(page: FeedbackPage): string {
  const [, ...below] = sectionsOf(blocksOf(page.markdown), 1);
  const [intro, ...sections] = sectionsOf(below[0]?.blocks ?? [], 2);
  const named = (start: string): Section | undefined =>
    sections.find(({ title }) => title.startsWith(start));
  const room = { lines: SHEET_LINES };
  const [points = '', ...words] = intro?.blocks ?? [];
  const table = words.find((block) => block.startsWith('|'));
  const texts = words.filter((block) => block !== table);
  const top = within([points, ...texts], TOP_LINES);
  room.lines -=
    linesOf(top) + DRAWING_LINES * Math.max(0, page.drawings.slice(0, MOST_DRAWINGS).length - 1);
  const since = within(named('Since')?.blocks ?? [], NEWS_LINES);
  const model = within(named('Against the model')?.blocks ?? [], MODEL_LINES);
  room.lines -= linesOf([...since, ...model]) + 2 * TITLE_LINES;
  if (model.length > 0) room.lines -= TITLE_LINES;
  const goodLines = between(LEAST_SHOWN, room.lines, GOOD_LINES);
  const good = within(named('What is good')?.blocks ?? [], goodLines);
  room.lines -= linesOf(good);
  const fixes = sectionsOf(named('What to fix')?.blocks ?? [], 3).filter(
    ({ title }) => title !== '',
  );
  const drawn = page.drawings.slice(0, MOST_DRAWINGS);
  const body = `<header>
<p class="kind">Feedback</p>
<h1>${nameText(page.name)}</h1>
${top.map((block, at) => (at === 0 ? `<div class="points">${blockHtml(block)}</div>` : blockHtml(block))).join('\n')}
</header>
<main>
<div class="overview">
${drawn.length === 0 ? '' : `<div class="drawings${drawn.length > 1 ? ' several' : ''}">${drawn.map((drawing, at) => drawingHtml(drawing, drawn.length > 1, at === drawn.length - 1 ? signsOf(drawn) : [])).join('\n')}</div>`}
${table === undefined ? '' : `<section class="families" aria-label="Points by family">${blockHtml(table)}</section>`}
</div>
${since.length === 0 ? '' : `<section class="since"><h2>Since the last hand-in</h2>${since.map((block) => blockHtml(block)).join('')}</section>`}
${model.length === 0 ? '' : `<section class="model"><h2>Against the model</h2>${model.map((block) => blockHtml(block)).join('')}</section>`}
${fixesHtml(fixes, room, page.file)}
${good.length === 0 ? '' : `<section class="good"><h2>What is good</h2>${good.map((block) => blockHtml(block)).join('')}</section>`}
</main>
<footer><p>All findings, and how the points are counted: <a href="${text(encodeURIComponent(page.file))}">${nameText(page.file)}</a>.${pageLinks(page)}</p><p>Measured by ${text(page.tool)}.</p></footer>`;
  return wholePage({
    title: `Feedback: ${page.name}`,
    style: `${FEEDBACK_STYLE}\n${drawingCss(drawn.some(showsModel))}`,
    body,
    script: '',
  });
}

function pageLinks({ pages }: FeedbackPage): string {
  if (pages.length === 0) return '';
  const links = pages.map(
    ({ name, address }) => `<a href="${text(address)}">${nameText(name)}</a>`,
  );
  return ` <span class="screen">In three dimensions, with every finding under a number of its own: ${links.join(', ')}.</span>`;
}

/** What the signs of the drawings mean; it stands below the last of them. */
function signsOf(drawings: readonly FeedbackDrawing[]): string[] {
  const signs: string[] = [];
  if (drawings.some(showsModel)) signs.push(MODEL_SIGNS);
  if (drawings.some(({ marks }) => marks.length > 0)) signs.push(NUMBER_SIGNS);
  return signs;
}

function drawingHtml(
  { svg, marks, unmarked }: FeedbackDrawing,
  several: boolean,
  signs: readonly string[],
): string {
  const most = several ? MOST_MARKS / 2 : MOST_MARKS;
  const more = marks.length - most;
  const list = marks
    .slice(0, most)
    .map(
      ({ number, names, rule }) =>
        `<li><span class="number">${number}</span> ${text(markNames(names))} <code>${text(rule)}</code></li>`,
    );
  if (more > 0) list.push(`<li>and ${more} more</li>`);
  const legend = list.length === 0 ? '' : `<ol class="marks">${list.join('')}</ol>`;
  const words =
    unmarked > 0 ? [...signs, `Without a number here: ${counted(unmarked, 'more joint')}.`] : signs;
  const caption = words.length === 0 ? '' : `<figcaption>${words.join(' ')}</figcaption>`;
  return `<figure class="drawn">${svg}${legend}${caption}</figure>`;
}

/** `shin_L, wing_3_R`, or where there is no room for all of them, `shin_L and 4 more`. */
function markNames(names: readonly string[]): string {
  const [first = '', ...others] = names;
  const all = names.join(', ');
  if (others.length === 0 || all.length <= MARK_LETTERS) return shortened(all, MARK_LETTERS);
  let shown = shortened(first, MARK_LETTERS - MORE_LETTERS);
  let more = others.length;
  for (const name of others) {
    const longer = `${shown}, ${name}`;
    if (longer.length > MARK_LETTERS - MORE_LETTERS) break;
    shown = longer;
    more--;
  }
  return `${shown} and ${more} more`;
}

const NUMBER_SIGNS = 'Numbered as in "What to fix". What is at no joint is not drawn.';

const MODEL_SIGNS =
  'Dashed: the joints of the model. A square: one that this rig has elsewhere or not at all.';

function showsModel({ svg }: Pick<FeedbackDrawing, 'svg'>): boolean {
  return svg.includes('class="drawing-approved"');
}

/** What to fix in full while there is room, then by its titles. */
function fixesHtml(fixes: readonly Section[], room: { lines: number }, file: string): string {
  if (fixes.length === 0) return '';
  const shown: string[] = [];
  const titles: string[] = [];
  // What is only named takes a line each as well.
  let kept = Math.min(fixes.length, MOST_TITLES);
  for (const { title, blocks } of fixes) {
    let short = blocks.map((block) => shortBlock(block, MOST_FINDINGS));
    // The first one is shown in any case, with one finding where there is no room for more.
    if (shown.length === 0 && linesOf(short) + TITLE_LINES > room.lines)
      short = blocks.map((block) => shortBlock(block, 1));
    const lines = linesOf(short) + TITLE_LINES;
    const fits = titles.length === 0 && (shown.length === 0 || lines <= room.lines - kept);
    if (!fits) {
      titles.push(title);
      continue;
    }
    room.lines -= lines;
    kept = Math.max(0, kept - 1);
    shown.push(
      `<article class="fix"><h3>${inlineHtml(title)}</h3>${short.map((block) => blockHtml(block)).join('')}</article>`,
    );
  }
  // Where the first one took more than there was, fewer titles are named.
  const most = between(LEAST_SHOWN, room.lines, MOST_TITLES);
  const more = titles.length - most;
  // The drawing has these numbers, too.
  const numbers = `number${more > 1 ? `s ${fixes.length - more + 1} to` : ''} ${fixes.length}`;
  const items = titles
    .slice(0, most)
    .map((title) => `<li>${inlineHtml(title.replace(/^\d+\. /, ''))}</li>`);
  const rest =
    items.length === 0
      ? ''
      : `<h3>Then</h3><ol start="${shown.length + 1}" class="rest">${items.join('')}</ol>${more > 0 ? `<p class="aside">and ${more} more, ${numbers} in <a href="${text(encodeURIComponent(file))}">${nameText(file)}</a>.</p>` : ''}`;
  return `<section class="fixes"><h2>What to fix, in this order</h2>${shown.join('\n')}${rest}</section>`;
}

function between(least: number, value: number, most: number): number {
  return Math.max(least, Math.min(value, most));
}

/** A list cut to some items. */
function shortBlock(block: string, most: number): string {
  const lines = block.split('\n');
  if (!isList(block) || lines.length <= most) return block;
  const more = lines.length - most;
  return [...lines.slice(0, most), `- and ${more} more`].join('\n');
}

/** As much as some lines hold: the first blocks, and of a list the first items. */
function within(blocks: readonly string[], lines: number): string[] {
  let room = lines;
  return blocks.flatMap((block) => {
    const items = block.split('\n');
    let count = 0;
    for (const item of items) {
      room -= linesOf([item]);
      if (room < 0) break;
      count++;
    }
    if (count === items.length) return [block];
    return isList(block) && count > 0 ? [shortBlock(block, count)] : [];
  });
}

function isList(block: string): boolean {
  return block.startsWith('- ');
}

function linesOf(blocks: readonly string[]): number {
  return blocks
    .flatMap((block) => block.split('\n'))
    .map((line) => {
      const lines = Math.max(1, Math.ceil(line.length / LINE_LETTERS));
      return isList(line) ? Math.min(ITEM_LINES, lines) : lines;
    })
    .reduce((sum, lines) => sum + lines, 0);
}
