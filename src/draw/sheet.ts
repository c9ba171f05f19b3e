import { counted } from '../report/finding-words.js';
import type { AssetReport, RigReport } from '../report/report-types.js';
import { approvedWords } from './approved-words.js';
import type { Block } from './curl-picture.js';
import { drawingCss } from './drawing-css.js';
import { numbered } from './joint-findings.js';
import { drawLegend, drawSigns } from './legend.js';
import { INNER_WIDTH, layoutRig } from './rig-layout.js';
import { drawRig } from './rig-picture.js';
import { makeRigShape } from './rig-shape.js';
import type { RigScene, Scene } from './scene.js';
import { element, escaped, textElement } from './svg.js';
import { BOLD, fitText, shortName } from './text-size.js';
import { EDGE, silhouettePaths } from './view-picture.js';

/** Margin of the page. Picture units. */
const MARGIN = 32;
/** Letter size of the asset's name, as the style has it. */
const HEADING = 19;
/** Letter size of most words, as the style has it. */
const LETTER = 12;
const SPACE: Block = { svg: '', height: 8 };

/**
 * One asset as a whole SVG file: every rig from three sides with its findings marked, and what they
 * say. Needs no script, no font and nothing from outside; follows the viewer's light or dark.
 */
export function drawSheet(scene: Scene, asset: AssetReport): string {
  const hasApproved = scene.rigs.some(({ approved }) => approved !== undefined);
  const blocks = [
    heading(asset),
    ...assetBlocks(asset),
    ...scene.rigs.flatMap((rig, index) => rigBlocks(rig, index, asset)),
    ...(scene.rigs.length === 0
      ? [rule(), line(14, 'drawing-text', 'There is no rig to draw.', 34)]
      : []),
    rule(),
    drawSigns(hasApproved),
  ];
  let y = MARGIN;
  const parts = blocks.map(({ svg, height }) => {
    const transform = `translate(${MARGIN} ${Math.round(y)})`;
    y += height;
    return element('g', { transform }, svg);
  });
  const [width, height] = [INNER_WIDTH + 2 * MARGIN, Math.round(y + MARGIN)];
  const name = nameOf(asset);
  const look = { xmlns: 'http://www.w3.org/2000/svg', class: 'drawing', role: 'img' };
  const size = { viewBox: `0 0 ${width} ${height}`, width, height };
  const root = element(
    'svg',
    { ...look, 'aria-label': `Drawing of ${name}`, ...size },
    element('title', {}, escaped(name)),
    element('style', {}, `\n${drawingCss(hasApproved)}\n`),
    element('rect', { class: 'drawing-paper', x: 0, y: 0, width, height }),
    ...parts,
  );
  return `<?xml version="1.0" encoding="UTF-8"?>\n${root}\n`;
}

function nameOf({ path }: AssetReport): string {
  return path === '-' ? 'Standard input' : shortName(path, 80);
}

function heading(asset: AssetReport): Block {
  const { error, warning, note } = asset.counts;
  const name = fitText(nameOf(asset), HEADING * BOLD, INNER_WIDTH);
  const counts = [counted(error, 'error'), counted(warning, 'warning'), counted(note, 'note')];
  const words = `${asset.verdict}: ${counts.join(', ')}`;
  return {
    svg: textElement(0, 18, 'drawing-heading', name) + textElement(0, 40, 'drawing-quiet', words),
    height: 58,
  };
}

function rigBlocks(rig: RigScene, index: number, asset: AssetReport): Block[] {
  const report = asset.rigs[index];
  const findings = numbered(asset, index);
  const layout = layoutRig(makeRigShape(index, rig, report));
  const picture = drawRig(layout, findings, ({ silhouette }) =>
    element('g', { 'stroke-width': EDGE }, silhouettePaths(silhouette)),
  );
  const below =
    findings.length === 0
      ? [line(12, 'drawing-quiet', 'No finding.', 28)]
      : [line(14, 'drawing-subheading', 'Findings', 28), drawLegend(findings, picture.unmarked)];
  return [rule(), rigHeading(rig, report), picture, SPACE, ...below, SPACE];
}

function rigHeading(rig: RigScene, report: RigReport | undefined): Block {
  const facts = [
    counted(rig.jointNodes.length, 'joint'),
    report && `${report.vertices} vertices`,
    rig.aim && `aim ${rig.aim.middle}`,
    rig.up && `up ${rig.up}`,
  ].filter(Boolean);
  const pose = rig.posed ? ' The mesh was bound in another pose.' : '';
  const words = `${facts.join(', ')}. Drawn as stored.${pose}`;
  const svg =
    textElement(0, 16, 'drawing-subheading', `Rig "${shortName(rig.name)}"`) +
    textElement(0, 35, 'drawing-quiet', words);
  if (rig.approved === undefined) return { svg, height: 50 };
  const over = fitText(
    `${approvedWords(rig.approved)} It is drawn as it was bound.`,
    LETTER,
    INNER_WIDTH,
  );
  return { svg: svg + textElement(0, 53, 'drawing-quiet', over), height: 68 };
}

/** What was found about the asset as a whole, which is mended before its rigs. */
function assetBlocks(asset: AssetReport): Block[] {
  const findings = numbered(asset, null);
  if (findings.length === 0) return [];
  const head = line(14, 'drawing-subheading', 'Of the whole file', 28);
  return [rule(), head, drawLegend(findings, [])];
}

/** A line of text with its baseline at `y`. */
function line(y: number, className: string, text: string, height: number): Block {
  return { svg: textElement(0, y, className, text), height };
}

function rule(): Block {
  const across = { x1: 0, y1: 0, x2: INNER_WIDTH, y2: 0 };
  return { svg: element('line', { class: 'drawing-rule', ...across }), height: 18 };
}
