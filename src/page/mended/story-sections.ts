import type {
  MendStory,
  StoryChange,
  StoryClip,
  StoryFindings,
  StoryLeft,
  StoryProof,
} from '../../draw/mended/mend-story.js';
import { drawProofPlot } from '../../draw/mended/proof-plot.js';
import { counted } from '../../report/finding-words.js';
import type { HandbookLink } from '../../report/handbook-link.js';
import { pathOf } from '../../report/places.js';
import type { FindingReport } from '../../report/report-types.js';
import { groupBy } from '../../rig/group-by.js';
import { nameText, pathText, text } from '../markup.js';
import { ruleMark } from '../rule-mark.js';

/** Clips that are shown at once, those with the largest differences; and at all. */
const [OPEN_CLIPS, MOST_CLIPS] = [6, 120];
/** Entries of a list that are shown at once. */
const OPEN_ENTRIES = 24;
/** Entries that a list has at all: a page of tens of thousands cannot be read. */
const MOST_ENTRIES = 1000;

/** The largest difference over time, for every clip, against the limit. */
export function proofSection({ words, allowed, stored, clips, limit }: StoryProof): string {
  const sorted = [...clips].sort((a, b) => b.share - a.share);
  const plot = (clip: StoryClip): string =>
    `<figure class="plot"><figcaption><strong>${nameText(clip.name)}</strong><span>${text(clip.where)}</span></figcaption>${drawProofPlot(clip, limit)}</figure>`;
  const open = sorted.slice(0, OPEN_CLIPS).map(plot);
  const folded = sorted.slice(OPEN_CLIPS, MOST_CLIPS).map(plot);
  const more = sorted.length - MOST_CLIPS;
  return `<section id="proof" aria-labelledby="proof-title">
<h2 id="proof-title">${allowed === null ? 'The proof that they look the same' : 'How far apart they look, as was allowed'}</h2>
<p>${text(words)}</p>${allowed === null ? '' : `\n<p><strong>${text(allowed)}</strong></p>`}
<p class="aside">That adds up the steps of the mend. What follows compares the two files themselves.</p>
<p>As stored: ${text(stored)}.</p>
${clips.length === 0 ? '<p class="aside">No clip moves this rig.</p>' : `<p class="aside">Each line is the most by which any vertex can differ between the two files over the time of one clip. The scale goes by powers of ten, and nobody sees what lies below the limit.</p>`}
<div class="plots">${open.join('\n')}</div>
${folded.length === 0 ? '' : `<details><summary>${counted(folded.length, 'more clip')}</summary><div class="plots">${folded.join('\n')}</div></details>`}
${more > 0 ? `<p class="aside">and ${counted(more, 'more clip')}, none of them farther apart.</p>` : ''}
</section>`;
}

/** Findings that are gone, that are left and why, and that are new. */
export function findingsSection(
  { gone, left, fresh }: StoryFindings,
  handbook: HandbookLink | undefined,
): string {
  const list = (kind: string, title: string, none: string, entries: readonly string[]): string => {
    const inner =
      entries.length === 0 ? `<p class="aside">${none}</p>` : folded(entries, 'finding');
    return `<div class="${kind}"><h3>${title} <span class="count">${entries.length}</span></h3>${inner}</div>`;
  };
  return `<section id="findings" aria-labelledby="findings-title">
<h2 id="findings-title">Findings</h2>
${list(
  'gone',
  'Gone',
  'None.',
  gone.map((finding) => entry(finding, null, handbook)),
)}
${list(
  'left',
  'Left, and why',
  'None: everything that was found is mended.',
  left.map((one) => leftEntry(one, handbook)),
)}
${list(
  'fresh',
  'New',
  'None: the mend brought nothing up.',
  fresh.map(({ finding, how }) => entry(finding, how, handbook)),
)}
</section>`;
}

function leftEntry(
  { rule, place, found, why }: StoryLeft,
  handbook: HandbookLink | undefined,
): string {
  const level = found === null ? '' : `<span class="level ${found.level}">${found.level}</span> `;
  const message = found === null ? '' : `<p>${text(found.message)}</p>`;
  return `<li><p class="mark">${level}${ruleMark(rule, handbook)} <span class="path">${pathText(place)}</span></p>${message}<p class="reason">${text(why)}</p></li>`;
}

function entry(
  { level, rule, place, message }: FindingReport,
  why: string | null,
  handbook: HandbookLink | undefined,
): string {
  const reason = why === null ? '' : `<p class="reason">${text(why)}</p>`;
  return `<li><p class="mark"><span class="level ${level}">${level}</span> ${ruleMark(rule, handbook)} <span class="path">${pathText(pathOf(place))}</span></p><p>${text(message)}</p>${reason}</li>`;
}

/** What was changed, by rule: before and after of each. */
export function changesSection(
  changes: MendStory['changes'],
  handbook: HandbookLink | undefined,
): string[] {
  if (changes.length === 0) return [];
  const tables = [...groupBy(changes, ({ rule }) => rule)].map(([rule, list]) => {
    const rows = list.slice(0, MOST_ENTRIES).map(rowOf).join('\n');
    const more = list.length - MOST_ENTRIES;
    const after = more > 0 ? `<p class="aside">and ${counted(more, 'more change')}.</p>` : '';
    return `<details${list.length <= OPEN_ENTRIES ? ' open' : ''}><summary><code>${rule}</code>: ${counted(list.length, 'change')}</summary>${handbook?.(rule) == null ? '' : `\n<p class="rule">${ruleMark(rule, handbook)}</p>`}
<div class="wide-table" tabindex="0" role="group" aria-label="Changes for ${rule}"><table><thead><tr><th scope="col">Where</th><th scope="col">Before</th><th scope="col">After</th></tr></thead><tbody>
${rows}
</tbody></table></div>${after}</details>`;
  });
  return [
    `<section id="changes" aria-labelledby="changes-title">
<h2 id="changes-title">What was changed</h2>
${tables.join('\n')}
</section>`,
  ];
}

function rowOf({ place, before, after }: StoryChange): string {
  return `<tr><th scope="row">${pathText(place)}</th><td>${nameText(before)}</td><td>${nameText(after)}</td></tr>`;
}

/** A list of which only the beginning is open. */
function folded(entries: readonly string[], noun: string): string {
  const list = (part: readonly string[]): string => `<ul class="entries">${part.join('\n')}</ul>`;
  const rest = entries.slice(OPEN_ENTRIES, MOST_ENTRIES);
  const more = entries.length - MOST_ENTRIES;
  const details =
    rest.length === 0
      ? ''
      : `<details><summary>${counted(rest.length, `more ${noun}`)}</summary>${list(rest)}</details>`;
  const beyond = more > 0 ? `<p class="aside">and ${counted(more, `more ${noun}`)}.</p>` : '';
  return list(entries.slice(0, OPEN_ENTRIES)) + details + beyond;
}
