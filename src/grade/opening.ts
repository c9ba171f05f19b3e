import type { Settings } from '../check/settings.js';
import { isFailing, LEVELS, type Level } from '../kit/finding.js';
import { counted } from '../report/finding-words.js';
import { codeName } from '../report/markdown-text.js';
import type { Fix } from './fixes.js';

/** Shares of the points from which the work is spoken of as nearly done, and as half done. */
const NEARLY = 0.9;
const HALF = 0.6;

/**
 * The sentence a student reads first. What was found decides before the points do (`share`, 0 to 1): a
 * rig that loses few points can still have a limb that no animator can use. `isUnlike` says whether it is
 * at fault against a model.
 */
export function openingWords(
  share: number,
  fixes: readonly Fix[],
  settings: Settings,
  isUnlike = false,
): string {
  if (fixes.length === 0)
    return isUnlike
      ? 'This rig is sound, but it is not yet like the model.'
      : 'Everything that was measured is good. This rig is ready to be posed.';
  const grave = graveWords(fixes, settings);
  if (grave !== '') return share >= 1 ? `${grave} ${fullWords(fixes)}` : grave;
  if (share >= 1) return fullWords(fixes);
  const warnings = countOf(fixes, 'warning');
  if (share >= NEARLY)
    return warnings > 0
      ? `Nothing here makes the rig unsound. ${counted(warnings, 'warning')} ${warnings === 1 ? 'is' : 'are'} left, and worth mending.`
      : 'This rig is well built. Little is left to do, and it is worth doing.';
  if (share >= HALF)
    return 'Much of this rig is good. Start at the top of the list: what comes first often mends what comes after.';
  return 'This rig still needs real work, and the list says where. Start at the top: what comes first often mends what comes after, and one cause can lead to many findings.';
}

/** Findings that make the rig unsound, and errors also where nothing does; empty for none. */
function graveWords(fixes: readonly Fix[], { failing }: Settings): string {
  const grave = LEVELS.filter((level) => level === 'error' || isFailing(level, failing))
    .map((level) => ({ level, count: countOf(fixes, level) }))
    .filter(({ count }) => count > 0);
  if (grave.length === 0) return '';
  const listed = grave.map(({ level, count }) => counted(count, level)).join(' and ');
  const isOne = grave.length === 1 && grave[0]?.count === 1;
  const order = 'must be mended first.';
  if (failing === 'never') return `This rig has ${listed}, which ${order}`;
  return `This rig is not sound yet: ${listed} ${isOne ? 'makes' : 'make'} it unsound and ${order}`;
}

/** Why there are findings and all points at once. */
function fullWords(fixes: readonly Fix[]): string {
  if (fixes.every(({ level }) => level === 'note')) {
    const notes = countOf(fixes, 'note');
    return `This rig is well built. ${counted(notes, 'note')} ${notes === 1 ? 'is' : 'are'} left, which cost${notes === 1 ? 's' : ''} no points. Look at ${notes === 1 ? 'it' : 'each of them'} once.`;
  }
  const graver = fixes.filter(({ level }) => level !== 'note');
  const unpaid = graver.filter(({ family }) => family === null).map(({ rule }) => rule.family);
  const families = [...new Set(unpaid)].map(codeName).join(', ');
  const places = [
    unpaid.length > 0 && `in families that have no points here (${families})`,
    unpaid.length < graver.length && 'too few to cost points in their family',
  ].filter(Boolean);
  return `All points: the faults are ${places.join(', or ')}. They are still faults, and worth mending.`;
}

function countOf(fixes: readonly Fix[], level: Level): number {
  const findings = fixes.flatMap((fix) => fix.findings);
  return findings.filter(({ finding }) => finding.level === level).length;
}
