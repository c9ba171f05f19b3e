import { counted } from '../../report/finding-words.js';
import { nameText, text, wholePage } from '../markup.js';
import { CLASS_STYLE } from './class-style.js';

/** What a teacher alone should see of a class. */
export interface TeacherData {
  /** Lists with a title, such as who is late. */
  readonly lists: readonly { readonly title: string; readonly items: readonly string[] }[];
  /** Groups of submissions with the same joints and weights, each with the address of its feedback. */
  readonly copies: readonly (readonly { readonly name: string; readonly address: string }[])[];
  readonly submissions: number;
  readonly tool: string;
}

/** The page for the teacher alone: who needs a look, who is late or missing, and near copies. */
export function writeTeacherPage({ lists, copies, submissions, tool }: TeacherData): string {
  const groups = copies.map((group) => {
    const links = group.map(
      ({ name, address }) => `<a href="${text(address)}">${nameText(name)}</a>`,
    );
    return `<li>${links.join(', ')}</li>`;
  });
  const body = `<header>
<p class="back"><a href="index.html">The class</a></p>
<h1>For the teacher</h1>
<p class="keep">Keep this page to yourself: it names near copies, and who is late or missing. No other page leads to it.</p>
</header>
<main>
${lists.length === 0 ? `<p>All of ${counted(submissions, 'submission')} were graded, and nobody needs a look.</p>` : `<div class="lists">${lists.map(listHtml).join('\n')}</div>`}
<section class="copies"><h2>Near copies</h2>
<p class="lead">Submissions with the same joints and the same weights, to rounding. A shared starting file looks like this too, so it is a reason to look and nothing more.</p>
${groups.length === 0 ? '<p>None.</p>' : `<ul>${groups.join('\n')}</ul>`}</section>
</main>
<footer><p>Measured by ${text(tool)}.</p></footer>`;
  return wholePage({ title: 'For the teacher - trysquare', style: CLASS_STYLE, body, script: '' });
}

function listHtml({ title, items }: TeacherData['lists'][number]): string {
  return `<section><h2>${text(title)} (${items.length})</h2><ul>${items.map((item) => `<li>${nameText(item)}</li>`).join('')}</ul></section>`;
}
