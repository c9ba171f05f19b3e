import { DRAWING_CSS } from '../../draw/drawing-css.js';
import { fileName, lineWords, type MendStory, storyLead } from '../../draw/mended/mend-story.js';
import { MENDED_CSS } from '../../draw/mended/mended-css.js';
import { layoutPair } from '../../draw/mended/pair-views.js';
import { silhouetteSymbols, symbolId } from '../../draw/pictures.js';
import { significant } from '../../kit/figures.js';
import type { HandbookLink } from '../../report/handbook-link.js';
import type { Verdict } from '../../report/report-types.js';
import { verdictClass } from '../../report/verdicts.js';
import { capital, dataBlock, nameText, pathText, text, wholePage } from '../markup.js';
import { VIEW_AHEAD } from '../view-ahead.js';
import { curlsSection, jointsSection, picturesSection } from './joint-sections.js';
import { MEND_STYLE } from './mend-style.js';
import { changesSection, findingsSection, proofSection } from './story-sections.js';

/** Width that both views of a side are laid out in. Picture units. */
const SIDE_WIDTH = 700;

/**
 * The page of one mend: one self-contained file.
 *
 * @param data What its viewer is handed, as JSON.
 * @param script The viewer, a classic script.
 * @param handbook Leads to the entry of a rule; absent where there is no handbook.
 */
export function writeMendPage(
  story: MendStory,
  data: string,
  script: string,
  handbook?: HandbookLink,
): string {
  const pairs = story.pairs.map((pair) => ({ pair, layouts: layoutPair(pair, SIDE_WIDTH) }));
  const symbols = pairs.flatMap(({ layouts }) => layouts.map(silhouetteSymbols));
  const sections = [
    ...(pairs.length === 0 ? [] : [viewSection(story)]),
    proofSection(story.proof),
    ...picturesSection(pairs, symbolId),
    ...jointsSection(pairs, symbolId),
    ...curlsSection(story.pairs),
    findingsSection(story.findings, handbook),
    ...changesSection(story.changes, handbook),
  ];
  const body = [
    `<svg class="drawing-defs" width="0" height="0" aria-hidden="true">${symbols.join('')}</svg>`,
    headerOf(story),
    '<main>',
    ...sections,
    '</main>',
    footerOf(story),
    dataBlock('pair-data', data),
  ];
  return wholePage({
    title: `${fileName(story.file)}, before and after - trysquare`,
    style: [MEND_STYLE, DRAWING_CSS, MENDED_CSS].join('\n'),
    body: body.join('\n'),
    script,
    early: pairs.length === 0 ? undefined : VIEW_AHEAD,
  });
}

function headerOf(story: MendStory): string {
  const { file, before, after, findings, proof, out } = story;
  const name = fileName(file);
  const tiles: readonly (readonly [value: string, words: string])[] = [
    ...(['gone', 'left', 'fresh'] as const).map((list) => counts(list, findings[list].length)),
    [
      proof.percent,
      `of its size is the largest difference (limit ${significant(100 * proof.limit)} %)`,
    ],
  ];
  const written =
    out === null ? 'This is a plan: no file was written.' : `The mended file is ${out}.`;
  return `<header>
<p class="verdicts">${verdict(before.verdict)} <span class="arrow" aria-hidden="true">→</span><span class="spoken"> before, </span>${verdict(after.verdict)}<span class="spoken"> after</span></p>
<h1>${nameText(name)}: before and after</h1>
${name === file ? '' : `<p class="path">${pathText(file)}</p>\n`}<p class="lead">${text(storyLead(story))} ${nameText(written)}</p>
<ul class="tiles">${tiles.map(([value, words]) => `<li><strong>${text(value.replace(' ', '\u00a0'))}</strong> <span>${text(words)}</span></li>`).join('')}</ul>
</header>`;
}

const BECAME = { gone: 'gone', left: 'left', fresh: 'new' } as const;

function counts(list: keyof typeof BECAME, count: number): readonly [string, string] {
  return [String(count), `finding${count === 1 ? '' : 's'} ${BECAME[list]}`];
}

function verdict(word: Verdict): string {
  return `<span class="verdict ${verdictClass(word)}">${capital(word)}</span>`;
}

/** Filled and shown by the viewer. */
function viewSection(story: MendStory): string {
  return `<section id="view" aria-labelledby="view-title">
<h2 id="view-title">Both rigs, in any pose</h2>
<p class="aside">At the left of the line is the rig before, at the right the rig after. Drag the line: ${text(lineWords(story))}.</p>
<div id="view-stage"></div>
<div id="view-controls"></div>
<p id="view-word" role="status"></p>
</section>
<p id="view-fallback" hidden>The view of both rigs needs WebGL, and this browser does not offer it. The pictures below show both rigs as they are stored.</p>
<noscript><p class="aside">The view of both rigs needs scripts, and they are turned off. The pictures below show both rigs as they are stored.</p></noscript>`;
}

function footerOf({ tool, standard }: MendStory): string {
  const against = standard === null ? 'its own limits' : `the standard ${standard}`;
  return `<footer><p>Mended, proved and measured by ${text(tool)} against ${text(against)}. Everything is in this one file; it loads nothing.</p></footer>`;
}
