import { LEVELS } from '../kit/finding.js';
import { assetName, counted } from '../report/finding-words.js';
import { askedWords, pairWords } from '../report/pair-words.js';
import type {
  AssetReport,
  ConventionsReport,
  ReportHead,
  RigReport,
} from '../report/report-types.js';
import { termsOf } from '../report/terms-of.js';
import { verdictClass } from '../report/verdicts.js';
import { benchPart } from './bench-part.js';
import { capital, nameText, pathText, text } from './markup.js';
import type { PageSource } from './page-source.js';
import { verdictPart } from './verdict-part.js';

/** Sections by their ids, in the order of the page; without a rig there is only the one of the findings. */
const SECTIONS = {
  findings: 'Findings',
  joints: 'Joints',
  sheet: 'Sheet',
  overview: 'The rig',
  measured: 'What was measured',
};

/** What matters first: the verdict, what makes it, what to do first; then links to the sections. */
export function headerOf(source: PageSource): string {
  const { head, asset, index, points } = source;
  const name = assetName(asset);
  // The last part is what people call it.
  const file = name.split('/').findLast((part) => part !== '') ?? name;
  const back = index === null ? '' : `<p class="back"><a href="${text(index)}">All assets</a></p>`;
  const links = Object.entries(SECTIONS)
    .filter(([id]) => asset.rigs.length > 0 || id === 'findings')
    .map(([id, words]) => `<a href="#${id}">${words}</a>`);
  return `<header>
${back}
<p class="verdict ${verdictClass(asset.verdict)}">${capital(asset.verdict)}${points === null ? '' : ` <span class="points">${text(points)}</span>`}</p>
<h1>${nameText(file)}</h1>
${file === name ? '' : `<p class="path">${pathText(name)}</p>\n`}${benchPart(source)}${verdictPart(source)}<p class="lead">${text(leadOf(head, asset))}</p>
${links.length > 1 ? `<nav aria-label="On this page">${links.join(' ')}</nav>\n` : ''}</header>`;
}

function leadOf(head: ReportHead, asset: AssetReport): string {
  const { failing } = termsOf(asset, head);
  if (asset.verdict === 'unreadable')
    return 'This file could not be read, so nothing in it was measured.';
  if (asset.asked !== undefined)
    return `Only the clips of this file were compared with ${asset.approved ?? ''}${askedWords(asset)}.`;
  if (asset.rigs.length === 0)
    return 'There is no rig in this file: no mesh in it has a skin, so there was nothing to measure.';
  const waived = asset.findings.filter((finding) => finding.waived !== undefined).length;
  const waivedWords = waived > 0 ? `, and ${counted(waived, 'waived one')}` : '';
  const found = `Findings: ${levelWords(asset.counts)}${waivedWords}.`;
  if (failing === 'never') return `${found} No finding makes a rig unsound in this run.`;
  return asset.verdict === 'sound'
    ? `${found} There is none at level ${failing} or above, so the rig is sound.`
    : `${found} Findings at level ${failing} or above make the rig unsound.`;
}

/** `2 errors, 1 note`, or `none`. */
export function levelWords(counts: AssetReport['counts']): string {
  const words = LEVELS.filter((level) => counts[level] > 0).map((level) =>
    counted(counts[level], level),
  );
  return words.length === 0 ? 'none' : words.join(', ');
}

/** What each rig is made of, and the conventions that it is judged by. */
export function overviewSection(asset: AssetReport): string {
  if (asset.rigs.length === 0) return '';
  return `<section id="overview" aria-labelledby="overview-title">
<h2 id="overview-title">The rig${asset.rigs.length > 1 ? 's' : ''}</h2>
${approvedLine(asset)}${asset.rigs.map(rigFacts).join('\n')}
</section>`;
}

function approvedLine({ approved }: AssetReport): string {
  return approved === undefined ? '' : `<p>Compared with ${nameText(approved)}.</p>\n`;
}

function rigFacts(rig: RigReport): string {
  const root = rig.bodyRoot === null ? null : rig.joints[rig.bodyRoot]?.path;
  const { conventions } = rig;
  const madeOf = [
    counted(rig.joints.length, 'joint'),
    counted(rig.skins, 'skin'),
    rig.vertices === 1 ? '1 vertex' : `${rig.vertices} vertices`,
    counted(rig.triangles, 'triangle'),
    counted(rig.clips, 'clip'),
  ];
  const row = (term: string, words: string): string =>
    `<dt>${term}</dt><dd>${nameText(words)}</dd>`;
  const rows = [
    row('Made of', madeOf.join(', ')),
    row('Body root', root ?? 'none found'),
    row('Frames', framesWords(conventions)),
    row('Left and right', sidesWords(conventions)),
    ...pairWords(rig, (name) => name).map((words) => row('Approved rig', words)),
  ];
  return `<div class="facts"><h3>${nameText(rig.name)}</h3><dl>${rows.join('')}</dl></div>`;
}

function framesWords(conventions: ConventionsReport): string {
  const { frames, aim, up, source, upKnown, votes, voters } = conventions;
  if (frames === 'world-aligned') return "all joints share the world's axes";
  if (aim === null) return frames === 'mixed' ? 'no common convention' : 'too few bones to know';
  const { middle, left, right } = aim;
  const sides = left === middle && right === middle ? '' : ` (left ${left}, right ${right})`;
  const upWords = up === null ? '' : `, up ${up}${upKnown ? '' : ' (a guess)'}`;
  const by = source === 'standard' ? 'as the standard requires' : `${votes} of ${voters} joints`;
  return `aim ${middle}${sides}${upWords}; ${by}`;
}

function sidesWords(conventions: ConventionsReport): string {
  const { pairs, mirror, mirrorAgree, mirrorPairs, symmetric } = conventions;
  const count = pairs.byMapping + pairs.byName + pairs.byPlace;
  const shape = `the mesh is ${symmetric ? '' : 'not '}symmetric`;
  if (count === 0) return `no pairs; ${shape}`;
  const how = mirror === null ? '' : `, ${mirror} on ${mirrorAgree} of ${mirrorPairs}`;
  return `${counted(count, 'pair')}${how}; ${shape}`;
}
