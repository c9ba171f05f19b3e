import type { Settings } from '../check/settings.js';
import { MEANT_POSE, MEANT_POSE_ALONE } from '../kit/meant-words.js';
import { counted, findingWords, levelCounts, levelNoun } from '../report/finding-words.js';
import type { HandbookLink } from '../report/handbook-link.js';
import { codeName, sentenceText } from '../report/markdown-text.js';
import { otherPlaces } from '../report/places.js';
import { capWords, costLine, pointsTable, scaleWords } from './arithmetic.js';
import { firstOf } from './class-words.js';
import { countingWords } from './counting-words.js';
import { countedLevel } from './faulty-places.js';
import { type Fix, fixesOf, type PlacedFinding } from './fixes.js';
import { markWords } from './grade-of.js';
import { firstAgainst, modelBlocks } from './model/model-words.js';
import { gradeWords } from './next-grade.js';
import { openingWords } from './opening.js';
import { otherWords } from './other-words.js';
import { praiseLines } from './praise.js';
import type { Rubric } from './rubric.js';
import type { Marked } from './submission.js';

/** Findings of one rule, and files, that are listed one by one. */
const LISTED = 20;

/**
 * The feedback on a submission, as Markdown: the points, what to fix first, what is good.
 *
 * @param since What became of it since the hand-in before, as blocks of Markdown.
 * @param handbook Leads from the feedback to the entry of a rule; null where there is no handbook.
 */
export function writeFeedback(
  marked: Marked,
  rubric: Rubric,
  settings: Settings,
  since: readonly string[] = [],
  handbook: HandbookLink | null = null,
): string {
  const { name, assets, grade, look, against } = marked;
  const fixes = fixesOf(assets, grade, settings);
  const reasons = (lead: string): string =>
    look.map((reason) => `- ${lead}: ${sentenceText(reason)}`).join('\n');
  const scaled = grade?.scaled ?? 0;
  const praise = grade === null ? [] : praiseLines(grade);
  const blocks = [
    `# ${codeName(name)}`,
    assets.length > 1 && filesLine(assets),
    ...(grade === null
      ? ['**Not graded yet. A person will look at this submission.**', reasons('Reason')]
      : [
          headline(marked, markWords(scaled, rubric), settings),
          openingWords(scaled / rubric.whole, fixes, settings, firstAgainst(against) !== null),
          gradeWords(marked, fixes, rubric, settings),
          pointsTable(grade),
          ...scaleWords(grade, rubric),
          ...capWords(grade, rubric),
          reasons('Please note'),
        ]),
    ...since,
    ...modelBlocks(against, grade),
    fixes.length > 0 && '## What to fix, in this order',
    ...fixes.flatMap((fix, at) => fixBlocks(fix, at + 1, marked, handbook)),
    ...(praise.length > 0 ? ['## What is good', praise.join('\n')] : []),
    grade !== null && '## How the points are counted',
    grade !== null && countingWords(rubric, assets.length, settings.rules),
  ];
  return `${blocks.filter(Boolean).join('\n\n')}\n`;
}

function filesLine(assets: Marked['assets']): string {
  const files = assets.map(({ path, verdict }) => `${codeName(path)} (${verdict})`);
  return `${counted(assets.length, 'file')}: ${firstOf(files, LISTED)}.`;
}

function headline({ verdict, counts }: Marked, points: string, { failing }: Settings): string {
  const unsound =
    failing === 'never'
      ? 'no finding makes a rig unsound'
      : `a finding at ${failing} level or above makes a rig unsound`;
  return `**${points}. Verdict: ${verdict}.** ${levelCounts(counts)} (${unsound}).`;
}

function fixBlocks(
  fix: Fix,
  number: number,
  marked: Marked,
  handbook: HandbookLink | null,
): string[] {
  const { rule, findings } = fix;
  const lines = findings.slice(0, LISTED).map((placed) => `- ${findingLine(placed, marked)}`);
  const more = findings.length - lines.length;
  if (more > 0) lines.push(`- and ${more} more of the same kind`);
  // A parenthesis would end the address in Markdown.
  const address =
    handbook?.(rule.id)?.replace(/[()]/g, (letter) => (letter === '(' ? '%28' : '%29')) ?? null;
  const title = `${rule.title.charAt(0).toUpperCase()}${rule.title.slice(1)}`;
  return [
    `### ${number}. ${sentenceText(title)} (${codeName(rule.id)})`,
    ...(marked.grade === null ? [] : [costLine(fix, marked.grade)]),
    `Why it matters: ${sentenceText(rule.why)}`,
    lines.join('\n'),
    ...(address === null
      ? []
      : [`What to do, step by step: [${rule.id} in the handbook](${address})`]),
  ];
}

function findingLine({ asset, finding }: PlacedFinding, { assets, grade }: Marked): string {
  const { level, place } = finding;
  const rig = asset.rigs.length > 1 ? asset.rigs.find(({ index }) => index === finding.rig) : null;
  const where = [
    place.path !== '' && ` at ${place.kind} ${codeName(place.path)}`,
    rig != null && ` of rig ${codeName(rig.name)}`,
    assets.length > 1 && ` in ${codeName(asset.path)}`,
  ].filter(Boolean);
  const joints = asset.rigs.find(({ index }) => index === finding.rig)?.joints ?? [];
  // A student has no standard of a house to write in.
  const said = findingWords(finding).replace(MEANT_POSE, MEANT_POSE_ALONE);
  const words = [said, otherWords(otherPlaces(finding), place, joints)].join(' ').trim();
  const counts = grade === null ? level : countedLevel(finding, grade.grading);
  const counted = counts === level ? '' : `, counts as ${levelNoun(counts)} for points`;
  return `**${level}${counted}**${where.join('')}: ${sentenceText(words)}`;
}
