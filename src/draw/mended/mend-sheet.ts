import { pathOf } from '../../report/places.js';
import type { FindingReport } from '../../report/report-types.js';
import { type Block, CURL_SIZE, curlBlock } from '../curl-picture.js';
import { DRAWING_CSS } from '../drawing-css.js';
import { INNER_WIDTH } from '../rig-layout.js';
import { element, escaped, oneDecimal, textElement } from '../svg.js';
import { BOLD, fitText, shortName } from '../text-size.js';
import { EDGE, silhouettePaths } from '../view-picture.js';
import { changeWords, scaleWords } from './change-words.js';
import { curlPairs } from './curl-pairs.js';
import { fileName, type MendStory, type StoryLeft, storyLead } from './mend-story.js';
import { MENDED_CSS } from './mended-css.js';
import { drawSideView, layoutPair } from './pair-views.js';
import { drawProofPlot, PLOT_SIZE } from './proof-plot.js';
import type { RigPair } from './rig-pair.js';
import { entries, line, rule, wrapped } from './sheet-blocks.js';

const MARGIN = 32;
const GAP = 24;
const HALF = (INNER_WIDTH - GAP) / 2;
const [HEADING, LETTER] = [19, 12];
/** Joints, findings and clips that a sheet lists; the rest are counted. */
const MOST = { joints: 60, findings: 40, clips: 12 };

/**
 * One mend as a whole SVG file: each rig before at the left and after at the right with its changed
 * frames marked, curls, proof and findings. Needs no script, no font and nothing from outside.
 */
export function drawMendSheet(story: MendStory): string {
  const blocks = [
    ...heading(story),
    ...story.pairs.flatMap(pairBlocks),
    ...proofBlocks(story),
    ...findingBlocks(story),
    rule(),
    ...wrapped(`Made by ${story.tool}.`, 'drawing-quiet'),
  ];
  let y = MARGIN;
  const parts = blocks.map(({ svg, height }) => {
    const transform = `translate(${MARGIN} ${Math.round(y)})`;
    y += height;
    return element('g', { transform }, svg);
  });
  const [width, height] = [INNER_WIDTH + 2 * MARGIN, Math.round(y + MARGIN)];
  const name = shortName(fileName(story.file), 80);
  const look = { xmlns: 'http://www.w3.org/2000/svg', class: 'drawing', role: 'img' };
  const size = { viewBox: `0 0 ${width} ${height}`, width, height };
  const root = element(
    'svg',
    { ...look, 'aria-label': `${name}, before and after its mend`, ...size },
    element('title', {}, escaped(`${name}, before and after`)),
    element('style', {}, `\n${DRAWING_CSS}\n${MENDED_CSS}\n`),
    element('rect', { class: 'drawing-paper', x: 0, y: 0, width, height }),
    ...parts,
  );
  return `<?xml version="1.0" encoding="UTF-8"?>\n${root}\n`;
}

function heading(story: MendStory): Block[] {
  const name = fitText(
    `${shortName(fileName(story.file), 80)}, before and after`,
    HEADING * BOLD,
    INNER_WIDTH,
  );
  const verdicts = `${story.before.verdict} before, ${story.after.verdict} after. ${storyLead(story)}`;
  return [
    { svg: textElement(0, 18, 'drawing-heading', name), height: 32 },
    ...wrapped(verdicts, 'drawing-text'),
    ...wrapped(story.proof.words, 'drawing-quiet'),
    ...(story.proof.allowed === null ? [] : wrapped(story.proof.allowed, 'drawing-text')),
  ];
}

function pairBlocks(pair: RigPair): Block[] {
  const { changed } = pair;
  const curls = curlPairs(pair);
  const scale = scaleWords(pair);
  const name = shortName(pair.name);
  const columns = (svg: (side: 0 | 1) => string): string =>
    element('g', {}, svg(0)) +
    element('g', { transform: `translate(${oneDecimal(HALF + GAP)} 0)` }, svg(1));
  const titles = ['Before', 'After'] as const;
  const listed = changed.slice(0, MOST.joints).map((joint) => ({
    mark: String(joint.number),
    strong: joint.name,
    words: changeWords(joint).join(', '),
  }));
  return [
    rule(),
    line(16, 'drawing-subheading', `Rig "${name}"`, 26),
    {
      svg: columns((side) => textElement(0, 14, 'drawing-subheading', titles[side])),
      height: 22,
    },
    viewsBlock(pair),
    ...(scale === null ? [] : wrapped(scale, 'drawing-text')),
    ...(changed.length === 0
      ? [line(14, 'drawing-quiet', 'No joint stands, hangs or is called otherwise.', 26)]
      : [line(14, 'drawing-subheading', 'Changed joints', 26), ...entries(listed)]),
    ...moreWords(changed.length, MOST.joints, 'changed joint'),
    ...(curls.length === 0 ? [] : [line(14, 'drawing-subheading', 'What a curl shows', 26)]),
    ...curls.map(({ names, before, after }) => ({
      svg: columns((side) => curlBlock(side === 0 ? before : after, names[side], titles[side])),
      height: CURL_SIZE.height,
    })),
  ];
}

function viewsBlock(pair: RigPair): Block {
  const layouts = layoutPair(pair, HALF);
  const columns = layouts.map((layout, side) => {
    const cells = layout.cells.map((cell) =>
      element(
        'g',
        { transform: `translate(${cell.at.map(oneDecimal).join(' ')})` },
        drawSideView(
          layout.shape,
          side === 0 ? 'before' : 'after',
          cell,
          pair.changed,
          element('g', { 'stroke-width': EDGE }, silhouettePaths(cell.silhouette)),
        ),
      ),
    );
    return element('g', { transform: `translate(${oneDecimal(side * (HALF + GAP))} 0)` }, ...cells);
  });
  const height = Math.max(...layouts.map((layout) => layout.height));
  return { svg: columns.join(''), height: height + 8 };
}

function proofBlocks({ proof }: MendStory): Block[] {
  const clips = [...proof.clips].sort((a, b) => b.share - a.share).slice(0, MOST.clips);
  const columns = 3;
  const across = (INNER_WIDTH - (columns - 1) * GAP) / columns;
  const rowHeight = PLOT_SIZE.height + 52;
  const cells = clips.map((clip, index) => {
    const [x, y] = [(index % columns) * (across + GAP), Math.floor(index / columns) * rowHeight];
    const name = fitText(shortName(clip.name, 60), LETTER * BOLD, across);
    return element(
      'g',
      { transform: `translate(${oneDecimal(x)} ${y})` },
      textElement(0, 12, 'drawing-strong', name),
      textElement(0, 28, 'drawing-quiet', fitText(clip.where, LETTER, across)),
      element('g', { transform: 'translate(0 34)' }, drawProofPlot(clip, proof.limit)),
    );
  });
  const stored = `As stored: ${proof.stored}.`;
  return [
    rule(),
    line(14, 'drawing-subheading', 'The proof over time', 26),
    ...wrapped(`${stored} ${PLOT_WORDS}`, 'drawing-quiet'),
    { svg: cells.join(''), height: Math.ceil(cells.length / columns) * rowHeight },
    ...moreWords(proof.clips.length, MOST.clips, 'clip'),
  ];
}

const PLOT_WORDS =
  'A line is the most by which any vertex can differ between the two files at each time of a clip. The scale goes by powers of ten.';

function findingBlocks({ findings }: MendStory): Block[] {
  const { gone, left, fresh } = findings;
  const entry = (finding: FindingReport, words: string) => ({
    mark: '',
    strong: `${finding.level} ${finding.rule}`,
    words: `${shortName(pathOf(finding.place), 80)}: ${words}`,
  });
  const leftEntry = ({ rule, place, found, why }: StoryLeft) => ({
    mark: '',
    strong: found === null ? rule : `${found.level} ${rule}`,
    words: `${shortName(place, 80)}: ${why}`,
  });
  const lists = [
    ['Findings that are gone', gone.map((finding) => entry(finding, finding.message))],
    ['Findings that are left', left.map(leftEntry)],
    ['Findings that are new', fresh.map(({ finding, how }) => entry(finding, how))],
  ] as const;
  return lists.flatMap(([title, all]) =>
    all.length === 0
      ? []
      : [
          rule(),
          line(14, 'drawing-subheading', `${title}: ${all.length}`, 26),
          ...entries(all.slice(0, MOST.findings)),
          ...moreWords(all.length, MOST.findings, 'finding'),
        ],
  );
}

function moreWords(all: number, shown: number, noun: string): Block[] {
  const more = all - shown;
  const words = `and ${more} more ${noun}${more === 1 ? '' : 's'}, which only the page (FILE.html) shows`;
  return more <= 0 ? [] : [line(12, 'drawing-quiet', words, 24)];
}
