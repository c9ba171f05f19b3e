import { CURL_WORDS } from '../draw/curl-picture.js';
import { drawingCss } from '../draw/drawing-css.js';
import type { AssetPictures } from '../report/asset-pictures.js';
import { writeJson } from '../report/json.js';
import { totalsOf } from '../report/report-stream.js';
import type { AssetReport, ReportHead } from '../report/report-types.js';
import { standardWords } from '../report/standard-words.js';
import { termsOf } from '../report/terms-of.js';
import { findingsSection } from './findings-section.js';
import { dataBlock, nameText, text, wholePage } from './markup.js';
import { headerOf, overviewSection } from './overview-section.js';
import type { PageSource } from './page-source.js';
import { APPROVED_STYLE, PAGE_STYLE } from './page-style.js';
import { jointsSection, measuredSection } from './rig-sections.js';
import { VIEW_AHEAD } from './view-ahead.js';

/** The page of one asset: one self-contained file. */
export function writePage(source: PageSource): string {
  const { head, asset, pictures, script, bench } = source;
  const isCompared = pictures?.sheets.some(showsApproved) ?? false;
  const hasRigs = asset.rigs.length > 0;
  const body = [
    pictures?.defs ?? '',
    headerOf(source),
    '<main>',
    '<div class="bench">',
    '<div class="read">',
    findingsSection(source),
    ...(hasRigs ? [jointsSection(asset)] : []),
    '</div>',
    ...(hasRigs && pictures !== null ? [VIEW] : []),
    '</div>',
    ...(hasRigs && pictures !== null ? [sheetSection(source, pictures)] : []),
    overviewSection(asset),
    ...(hasRigs ? [measuredSection(asset)] : []),
    '</main>',
    footerOf(head, asset),
    dataBlock('page-data', pictures?.data ?? '{"rigs":[]}'),
    dataBlock('report', compactReport(head, asset)),
  ];
  return wholePage({
    title: `${asset.path} - trysquare`,
    style: [PAGE_STYLE, ...(isCompared ? [APPROVED_STYLE] : []), drawingCss(isCompared)].join('\n'),
    body: body.join('\n'),
    script: pictures === null && bench === undefined ? '' : script,
    early: hasRigs && pictures !== null ? VIEW_AHEAD : undefined,
    pictures: bench === undefined ? undefined : "'self' file:",
  });
}

const SIGNS =
  'A dot is a joint; a hollow dot is a joint that moves no skin. Lines with letters are its axes (X red, Y green, Z blue), where there is room. Numbers: findings. The rig is shown as it is stored.';
const APPROVED =
  'Dashed lines: the approved rig as it was bound, laid over this one with its root on the root of this one, at the size of this one. A square is a joint of the approved rig that this rig has elsewhere or not at all.';

/** What the lines of a model mean, which is laid over a rig of a class. */
function modelSigns(model: string): string {
  return `Dashed lines: the rig of the model ${model} as it was bound, its mesh laid on the mesh of this one. A square is a joint of the model that this rig has elsewhere or not at all.`;
}

const showsApproved = (sheet: string): boolean => sheet.includes('class="drawing-approved"');

function sheetSection({ asset: { rigs }, model }: PageSource, { sheets }: AssetPictures): string {
  const signs = model === undefined ? APPROVED : modelSigns(nameText(model));
  const titleOf = (index: number): string =>
    rigs.length > 1 ? `<h3>${nameText(rigs[index]?.name ?? '')}</h3>` : '';
  const over = sheets.some(showsApproved) ? ` ${signs}` : '';
  const curls = sheets.some((sheet) => sheet.includes('What a curl shows'));
  return `<section id="sheet" aria-labelledby="sheet-title">
<h2 id="sheet-title">Sheet</h2>
<p class="aside wide">Scroll the sheet sideways to see all of it.</p>
${sheets.map((sheet, index) => `<div class="sheet" tabindex="0" role="group" aria-label="Drawing">${titleOf(index)}${sheet}</div>`).join('\n')}
<p class="aside">${SIGNS}${over}</p>${curls ? `\n<p class="aside">${CURL_WORDS}</p>` : ''}
</section>`;
}

/** Filled and shown by the viewer. */
const VIEW = `<section id="view" aria-labelledby="view-title">
<h2 id="view-title">Live view</h2>
<div id="view-frame">
<div id="view-stage"></div>
<p id="view-word" role="status"></p>
</div>
<details id="view-more" open><summary>Turn, play and curl</summary>
<div id="view-controls"></div>
</details>
</section>
<p id="view-fallback" hidden>The live view needs WebGL, and this browser does not offer it. The sheet below shows the rig as it is stored.</p>
<noscript><p class="aside">The live view needs scripts, and they are turned off. The sheet below shows the rig as it is stored.</p></noscript>`;

function footerOf(head: ReportHead, asset: AssetReport): string {
  const { tool } = head;
  const { standard, above } = termsOf(asset, head);
  const done = asset.rigs.length > 0 ? 'Measured' : 'Checked';
  return `<footer><p>${done} by ${text(`${tool.name} ${tool.version}`)} against ${standard === null ? 'its own limits' : standardWords(standard, above, text)}. The report itself, as JSON, is in this file: the block with the id <code>report</code>.</p></footer>`;
}

/** A whole report of this asset alone, as `--format json` writes it but for white space. */
function compactReport(head: ReportHead, asset: AssetReport): string {
  const end = { partial: null, ledger: null, ...totalsOf([asset]) };
  return JSON.stringify(JSON.parse(writeJson({ ...head, ...end, assets: [asset] })));
}
