import type { Settings } from '../check/settings.js';
import { counted, findingWords } from '../report/finding-words.js';
import { codeName, sentenceText } from '../report/markdown-text.js';
import { alsoWords, otherPlaces } from '../report/places.js';
import {
  COUNTING,
  costLine,
  pointsTable,
  SEVERAL_FILES,
  scaleWords,
  weightLines,
} from './arithmetic.js';
import { type Fix, fixesOf, type PlacedFinding } from './fixes.js';
import type { Grade } from './grade-assets.js';
import { openingWords } from './opening.js';
import { praiseLines } from './praise.js';
import type { Rubric } from './rubric.js';
import type { Marked } from './submission.js';
import { showTenths, showWorth } from './tenths.js';

/** Findings of one rule that are told one by one. */
const TOLD = 20;

/** What a student is told of a submission, as Markdown: the points, what to fix first, what held. */
export function writeFeedback(marked: Marked, rubric: Rubric, settings: Settings): string {
  const { name, assets, grade, look } = marked;
  const fixes = fixesOf(assets, grade, settings);
  const blocks = [`# ${codeName(name)}`];
  if (assets.length > 1) blocks.push(filesLine(assets));
  if (grade === null) {
    blocks.push('**Not graded yet. A person will look at this submission.**');
    blocks.push(look.map((reason) => `- Reason: ${sentenceText(reason)}`).join('\n'));
  } else {
    blocks.push(headline(marked, grade, fixes, rubric, settings));
    blocks.push(pointsTable(grade), ...scaleWords(grade, rubric));
    if (look.length > 0)
      blocks.push(look.map((reason) => `- Please note: ${sentenceText(reason)}`).join('\n'));
  }
  if (fixes.length > 0) blocks.push('## What to fix, in this order');
  for (const [at, fix] of fixes.entries()) blocks.push(...fixBlocks(fix, at + 1, marked));
  const praise = grade === null ? [] : praiseLines(grade);
  if (praise.length > 0) blocks.push('## What is good', praise.join('\n'));
  if (grade !== null) {
    const weights = weightLines(grade);
    const counting = assets.length > 1 ? `${COUNTING} ${SEVERAL_FILES}` : COUNTING;
    blocks.push('## How the points are counted', counting);
    if (weights.length > 0) blocks.push(weights.join('\n'));
  }
  return `${blocks.join('\n\n')}\n`;
}

/** Files that are named. */
const FILES_TOLD = 20;

function filesLine(assets: Marked['assets']): string {
  const told = assets
    .slice(0, FILES_TOLD)
    .map(({ path, verdict }) => `${codeName(path)} (${verdict})`);
  const more = assets.length - told.length;
  return `${counted(assets.length, 'file')}: ${told.join(', ')}${more > 0 ? ` and ${more} more` : ''}.`;
}

function headline(
  marked: Marked,
  grade: Grade,
  fixes: readonly Fix[],
  { whole }: Rubric,
  settings: Settings,
): string {
  const { error, warning, note } = marked.counts;
  const scaled = grade.scaled ?? 0;
  const verdict = [
    `**${showTenths(scaled)} of ${showWorth(whole)} points. Verdict: ${marked.verdict}.**`,
    `${counted(error, 'error')}, ${counted(warning, 'warning')}, ${counted(note, 'note')}`,
  ].join(' ');
  const failing =
    settings.failing === 'never'
      ? 'no finding makes a rig unsound'
      : `a finding at ${settings.failing} level or above makes a rig unsound`;
  return `${verdict} (${failing}).\n\n${openingWords(scaled / whole, fixes, settings.failing)}`;
}

function fixBlocks(fix: Fix, number: number, marked: Marked): string[] {
  const { rule, findings } = fix;
  const told = findings.slice(0, TOLD).map((item) => `- ${findingLine(item, marked)}`);
  const more = findings.length - told.length;
  if (more > 0) told.push(`- and ${more} more of the same kind`);
  const cost = marked.grade === null ? [] : [costLine(fix, rule)];
  return [
    `### ${number}. ${sentenceText(titled(rule.title))} (${codeName(rule.id)})`,
    ...cost,
    `Why it matters: ${sentenceText(rule.why)}`,
    told.join('\n'),
  ];
}

function findingLine({ asset, finding }: PlacedFinding, { assets }: Marked): string {
  const { level, place } = finding;
  const rig = asset.rigs.length > 1 ? asset.rigs.find((item) => item.index === finding.rig) : null;
  const where = [
    ...(place.path === '' ? [] : [`at ${place.kind} ${codeName(place.path)}`]),
    ...(rig == null ? [] : [`of rig ${codeName(rig.name)}`]),
    ...(assets.length > 1 ? [`in ${codeName(asset.path)}`] : []),
  ].join(' ');
  return `**${level}**${where === '' ? '' : ` ${where}`}: ${sentenceText([findingWords(finding), alsoWords(otherPlaces(finding))].join(' ').trim())}`;
}

function titled(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
}
