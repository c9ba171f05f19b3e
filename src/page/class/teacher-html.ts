import { counted } from '../../report/finding-words.js';
import { nameText, text, wholePage } from '../markup.js';
import type { PageLink } from './class-data.js';
import { CLASS_STYLE } from './class-style.js';

/** What a teacher alone should see of a class. */
export interface TeacherData {
  /** Lists with a title, such as who is late. */
  readonly lists: readonly { readonly title: string; readonly items: readonly TeacherItem[] }[];
  /** Who has which grade, the best first; grades that nobody has are left out. */
  readonly grades: readonly { readonly name: string; readonly who: readonly TeacherName[] }[];
  /** Groups of submissions with the same joints and weights, or with the very same file. */
  readonly copies: readonly { readonly who: readonly TeacherName[]; readonly sameFile: boolean }[];
  readonly submissions: number;
  readonly tool: string;
}

/** A submission with the address of its feedback; null where it has none. */
export interface TeacherName {
  readonly name: string;
  readonly address: string | null;
}

/** One line of a list: what is said of a submission, right behind its name, and the pages of its files. */
export interface TeacherItem extends TeacherName {
  readonly words: string;
  readonly pages: readonly PageLink[];
}

/** Pages of files that one line leads to. */
const MOST_PAGES = 3;

/** The page for the teacher alone: who needs a look, who is late or missing, and near copies. */
export function writeTeacherPage(data: TeacherData): string {
  const { lists, grades, copies, submissions, tool } = data;
  const groups = copies.map(
    ({ who, sameFile }) =>
      `<li>${who.map(linked).join(', ')}${sameFile ? ': the same file' : ''}</li>`,
  );
  const graded = grades.map(
    ({ name, who }) =>
      `<li><strong>${nameText(name)}</strong> (${who.length}): ${who.map(linked).join(', ')}</li>`,
  );
  const body = `<header>
<p class="back"><a href="index.html">The class</a></p>
<h1>For the teacher</h1>
<p class="keep">Keep this page to yourself: it names near copies, and who is late or missing. No other page leads to it.</p>
</header>
<main>
${lists.length === 0 ? `<p>All of ${counted(submissions, 'submission')} were graded, and nobody needs a look.</p>` : `<div class="lists">${lists.map(listHtml).join('\n')}</div>`}
${graded.length === 0 ? '' : `<section class="copies"><h2>Grades</h2><ul>${graded.join('\n')}</ul></section>`}
<section class="copies"><h2>Near copies</h2>
<p class="lead">Submissions with the same joints and the same weights, to rounding, or with the same file, byte for byte. A shared starting file looks like this too, so it is a reason to look and nothing more.</p>
${groups.length === 0 ? '<p>None.</p>' : `<ul>${groups.join('\n')}</ul>`}</section>
</main>
<footer><p>Measured by ${text(tool)}.</p></footer>`;
  return wholePage({ title: 'For the teacher - trysquare', style: CLASS_STYLE, body, script: '' });
}

function listHtml({ title, items }: TeacherData['lists'][number]): string {
  return `<section><h2>${text(title)} (${items.length})</h2><ul>${items.map(itemHtml).join('')}</ul></section>`;
}

function linked({ name, address }: TeacherName): string {
  return address === null ? nameText(name) : `<a href="${text(address)}">${nameText(name)}</a>`;
}

function itemHtml({ pages, words, ...named }: TeacherItem): string {
  const links = pages
    .slice(0, MOST_PAGES)
    .map((page) => linked(pages.length === 1 ? { ...page, name: 'its page' } : page));
  const more = pages.length > MOST_PAGES ? ` and ${pages.length - MOST_PAGES} more` : '';
  const files = links.length === 0 ? '' : ` (${links.join(', ')}${more})`;
  return `<li>${linked(named)}${nameText(words)}${files}</li>`;
}
