import type { Settings } from '../check/settings.js';
import { counted } from '../report/finding-words.js';
import { codeName, sentenceText } from '../report/markdown-text.js';
import { firstOf } from './class-words.js';
import { gradeText } from './grade-of.js';
import type { RuleFaults } from './older/older-marks.js';
import { lastMark, lastName, placesIn, type Since } from './since.js';
import { showTenths, type Tenths } from './tenths.js';

/** Places of one rule that are named, and rules that are listed. */
const [PLACES, RULES] = [5, 12];

/** `+11.8`, `-2.0`, `no change`. */
export function changeWords(change: Tenths): string {
  if (change === 0) return 'no change';
  return `${change > 0 ? '+' : '-'}${showTenths(Math.abs(change))}`;
}

/**
 * What became of a submission since the hand-in before, as blocks of Markdown; none for a new one.
 *
 * @param grade The grade that it has now; null for none.
 * @param otherTerms Whether it was graded by other rules, limits, points or grades then.
 */
export function sinceBlocks(
  since: Since | null,
  points: Tenths | null,
  grade: string | null,
  otherTerms: boolean,
  settings: Settings,
): string[] {
  if (since === null || since.kind === 'new') return [];
  const { kind, before, change, gradeBefore, faults } = since;
  const last = lastMark(before);
  const pointWords =
    last === null || points === null || change === null
      ? last !== null && `Points of the last hand-in: ${showTenths(last)}.`
      : `Points: ${showTenths(last)} before, ${showTenths(points)} now (${changeWords(change)}).`;
  const earlier = before.flatMap((mark) => (mark === null ? [] : [showTenths(mark)])).slice(0, -1);
  const lead = [
    kind === 'same files' && 'The files are the same as those of the last hand-in.',
    pointWords,
    earlier.length > 0 && `Before that: ${earlier.join(', ')}.`,
    gradeWords(gradeBefore, grade),
    faults !== null && faultsLead(faults),
    otherTerms &&
      'The rules, limits, points or steps of grades are not the same as last time, so some of this can come from them.',
  ];
  const lines =
    faults === null ? [] : [...list('Mended', faults.mended), ...list('New', faults.added)];
  const words = lead.filter(Boolean).join(' ');
  const blocks = [words, lines.join('\n')].filter((block) => block !== '');
  return blocks.length === 0 ? [] : ['## Since the last hand-in', ...blocks];

  function list(what: string, changed: readonly RuleFaults[]): string[] {
    const lines = changed
      .slice(0, RULES)
      .map((each) => `- **${what}**: ${faultWords(each, settings)}`);
    const more = changed.length - lines.length;
    return more > 0 ? [...lines, `- **${what}**: ${counted(more, 'more rule')}`] : lines;
  }
}

/** `Grade: C before, B now.`; empty where one of the two is not known. */
function gradeWords(before: string | null, now: string | null): string {
  if (before === null || now === null) return '';
  const [old, fresh] = [before, now].map(gradeText);
  return before === now ? `Grade: ${fresh}, as before.` : `Grade: ${old} before, ${fresh} now.`;
}

function faultsLead({ mended, added, still }: NonNullable<Since['faults']>): string {
  const [gone, fresh] = [placesIn(mended), placesIn(added)];
  if (gone + fresh === 0)
    return still === 0 ? '' : `The same ${counted(still, 'fault')} as last time.`;
  return `Faults mended: ${gone}. New: ${fresh}. Still there: ${still}.`;
}

/** `a joint rolled away (axis.up), 3 times: a, b and c`, as Markdown. */
function faultWords({ rule, at }: RuleFaults, { known }: Settings): string {
  const title = known.find(({ id }) => id === rule)?.title;
  const name = title === undefined ? codeName(rule) : `${sentenceText(title)} (${codeName(rule)})`;
  const places = at.filter((place) => place !== '').map((place) => codeName(lastName(place)));
  const times = at.length > 1 ? `, ${at.length} places` : '';
  return places.length === 0 ? `${name}${times}` : `${name}${times}: ${firstOf(places, PLACES)}`;
}
