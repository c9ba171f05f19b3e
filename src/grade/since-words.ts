import type { Settings } from '../check/settings.js';
import { changeLines, changesLead } from './change-words.js';
import { isChanged } from './fault-changes.js';
import { gradeText } from './grade-of.js';
import { lastMark, type Since } from './since.js';
import { showTenths, type Tenths } from './tenths.js';

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
  const isSame = kind === 'same files';
  const pointWords =
    last === null || points === null || change === null
      ? last !== null && `Points of the last hand-in: ${showTenths(last)}.`
      : `Points: ${showTenths(last)} before, ${showTenths(points)} now (${changeWords(change)}).`;
  const earlier = before.flatMap((mark) => (mark === null ? [] : [showTenths(mark)])).slice(0, -1);
  const lead = [
    isSame && 'The files are the same as those of the last hand-in.',
    pointWords,
    earlier.length > 0 && `Before that: ${earlier.join(', ')}.`,
    gradeWords(gradeBefore, grade),
    faults !== null && changesLead(faults, isSame),
    termWords(since, otherTerms),
  ];
  const lines = faults === null ? [] : changeLines(faults, isSame, settings);
  const words = lead.filter(Boolean).join(' ');
  const blocks = [words, lines.join('\n')].filter((block) => block !== '');
  return blocks.length === 0 ? [] : ['## Since the last hand-in', ...blocks];
}

const TERMS = 'rules, limits, points or steps of grades';

/** What of the difference can come from how it was graded; empty where nothing can. */
function termWords({ kind, faults }: Since, otherTerms: boolean): string {
  if (kind !== 'same files' || faults === null || !isChanged(faults))
    return otherTerms
      ? `The ${TERMS} are not the same as last time, so some of this can come from them.`
      : '';
  const found = 'So all that is found now and was not, or the other way round, comes from';
  return otherTerms
    ? `${found} the ${TERMS}, which are not the same as last time.`
    : `${found} another version of trysquare: rules, limits and points are the same as last time.`;
}

/** `Grade: C before, B now.`; empty where one of the two is not known. */
function gradeWords(before: string | null, now: string | null): string {
  if (before === null || now === null) return '';
  const [old, fresh] = [before, now].map(gradeText);
  return before === now ? `Grade: ${fresh}, as before.` : `Grade: ${old} before, ${fresh} now.`;
}
