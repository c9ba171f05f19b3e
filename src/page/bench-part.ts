import { type Changes, changeCounts } from '../report/changes.js';
import { numbersOf } from '../report/finding-numbers.js';
import { pathOf } from '../report/places.js';
import type { AssetReport } from '../report/report-types.js';
import { movedWords } from '../report/text-change.js';
import { capital, nameText, text } from './markup.js';
import type { BenchState, PageSource } from './page-source.js';

/** Changes that are listed. */
const MOST = 40;

/** What the last export mended and broke, on a page that is kept current; empty on any other. */
export function benchPart({ asset, bench }: PageSource): string {
  if (bench === undefined) return '';
  const { file, state, time, changes, trouble } = bench;
  const words =
    trouble !== null
      ? `The export of ${time} cannot be read: ${trouble} This page shows the one before it.`
      : changes === null
        ? `First check, at ${time}.`
        : `Checked again at ${time}: ${changeCounts(changes, false)}.`;
  const entries = changes === null || trouble !== null ? [] : entriesOf(changes, asset);
  const more = entries.length - MOST;
  const list = [...entries.slice(0, MOST), ...(more > 0 ? [`<li>and ${more} more</li>`] : [])];
  return `<section id="live" aria-labelledby="live-title" data-file="${text(file)}" data-state="${stateName(state)}">
<h2 class="small" id="live-title">Since the last export</h2>
<p id="live-word" role="status">${text(words)}</p>
${list.length === 0 ? '' : `<ul class="changes">${list.join('')}</ul>\n`}<p id="live-state" class="aside">This page loads itself again after each export, as long as the check runs.</p>
</section>
`;
}

/** As the script of the page reads it off the picture. */
export function stateName([width, height]: BenchState): string {
  return `${width}x${height}`;
}

/** The small picture beside a page: data alone, which no browser runs. */
export function statePicture([width, height]: BenchState): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}"/>\n`;
}

function entriesOf({ mended, fresh, moved }: Changes, asset: AssetReport): string[] {
  const numbers = numbersOf(asset.findings);
  const link = (finding: AssetReport['findings'][number]): string => {
    const number = numbers.get(finding) ?? 0;
    return `<a class="number" href="#finding-${number}">${number}</a>`;
  };
  return [
    ...mended.map(
      ({ rule, place }) =>
        `<li class="mended"><strong>Mended</strong> <code>${text(rule)}</code> at ${nameText(pathOf(place))}</li>`,
    ),
    ...moved.map((entry) => `<li>${link(entry.finding)} ${text(capital(movedWords(entry)))}</li>`),
    ...fresh.map(
      (finding) =>
        `<li class="${finding.level}"><strong>New</strong> ${link(finding)} <code>${text(finding.rule)}</code> at ${nameText(pathOf(finding.place))}</li>`,
    ),
  ];
}
