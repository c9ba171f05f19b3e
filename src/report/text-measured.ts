import { significant } from '../kit/figures.js';
import { heldWords } from './held-words.js';
import type { BendReport, MeasuredReport, RigReport } from './report-types.js';
import { label, type TextPen } from './text-pen.js';

/**
 * What every rule was measured on, a line a rule: `axis.aim: held on 20 of 20 joints`, or why it
 * does not apply.
 */
export function measuredLines({ measured }: RigReport, pen: TextPen): string[] {
  const width = Math.max(0, ...measured.map(({ rule }) => rule.length)) + 2;
  const lines = measured.flatMap((item) =>
    pen.wrap(`${`${item.rule}:`.padEnd(width)}${measuredWords(item)}`, 4, 6),
  );
  return ['', ...pen.wrap('Rule by rule:', 2), ...lines];
}

function measuredWords(item: MeasuredReport): string {
  if (item.kind === 'not applicable') return `not applicable, because ${item.because}`;
  return `passed on ${heldWords(item)}`;
}

/** Joints that the list of bends names. */
const LISTED = 8;

/** What the bend laboratory measured, the joints that suffer most first. */
export function bendLines({ bends, joints }: RigReport, pen: TextPen): string[] {
  if (bends === null) return [];
  if (bends.length === 0)
    return ['', ...pen.wrap('Bends of 60°: no joint changes the shape of any skin.', 2, 4)];
  const more = bends.length - LISTED;
  return [
    '',
    ...pen.wrap('Bends of 60°, each joint in its worst direction, the worst first:', 2, 4),
    ...bends.slice(0, LISTED).flatMap((bend) => {
      return pen.wrap(`${label(joints[bend.joint]?.name)} about ${bend.axis}: ${kept(bend)}`, 4, 6);
    }),
    ...(more > 0
      ? pen.wrap(
          pen.paint.faint(`(${more} more ${more === 1 ? 'joint changes' : 'joints change'} less)`),
          4,
          6,
        )
      : []),
  ];
}

function kept({ volumeKept, inverted, triangles, stretch }: BendReport): string {
  const volume =
    volumeKept === null
      ? 'the skin has no volume'
      : `${significant(100 * volumeKept)} % of the volume kept`;
  return `${volume}, ${inverted} of ${triangles} triangles inverted, longest stretch ${significant(stretch)} times`;
}
