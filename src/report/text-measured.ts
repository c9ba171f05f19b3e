import { significant } from '../kit/figures.js';
import { isIdle, passedWords } from './finding-words.js';
import type { BendReport, MeasuredReport, RigReport } from './report-types.js';
import { label, type TextPen } from './text-pen.js';

/** A line a rule: `axis.aim: passed on 20 of 20 joints`, or why it does not apply. */
export function measuredLines({ measured }: RigReport, pen: TextPen): string[] {
  const width = Math.max(0, ...measured.map(({ rule }) => rule.length)) + 2;
  const lines = measured.flatMap((entry) =>
    pen.wrap(`${`${entry.rule}:`.padEnd(width)}${measuredWords(entry)}`, 4, 6),
  );
  return ['', ...pen.wrap('Rule by rule:', 2), ...lines];
}

function measuredWords(entry: MeasuredReport): string {
  if (entry.kind === 'not applicable') return `not applicable, because ${entry.because}`;
  return isIdle(entry) ? passedWords(entry) : `passed on ${passedWords(entry)}`;
}

/** The rule that judges bends. */
const COLLAPSE = 'motion.collapse';

/** Joints that the list of bends names. */
const LISTED = 8;

/** What the bend laboratory measured, the joints that suffer most first. */
export function bendLines({ bends, joints, measured }: RigReport, pen: TextPen): string[] {
  if (bends === null) return [];
  if (bends.length === 0)
    return ['', ...pen.wrap('Bends of 60°: no joint changes the shape of any skin.', 2, 4)];
  const lines = bends
    .slice(0, LISTED)
    .map((bend) => `${label(joints[bend.joint]?.name)} ${bendWords(bend)}`);
  const isWithin = measured.some(
    (entry) =>
      entry.rule === COLLAPSE &&
      entry.kind === 'judged' &&
      entry.looked > 0 &&
      entry.short + entry.elsewhere === 0,
  );
  const more = bends.length - LISTED;
  const others = more === 1 ? 'joint changes' : 'joints change';
  if (more > 0) lines.push(pen.paint.faint(`(${more} more ${others} less)`));
  return [
    '',
    ...pen.wrap(
      `Bends of 60°, each joint in its worst direction, the worst first${isWithin ? ` (none is over the limit of ${COLLAPSE})` : ''}:`,
      2,
      4,
    ),
    ...lines.flatMap((line) => pen.wrap(line, 4, 6)),
  ];
}

function bendWords({ axis, volumeKept, inverted, triangles, stretch }: BendReport): string {
  const volume =
    volumeKept === null
      ? 'the skin has no volume'
      : volumeKept < 0
        ? `turned inside out (${significant(100 * (1 - volumeKept))} % of the volume lost)`
        : `${significant(100 * volumeKept)} % of the volume kept`;
  return `about ${axis}: ${volume}, ${inverted} of ${triangles} triangles inverted, longest stretch ${significant(stretch)} times`;
}
