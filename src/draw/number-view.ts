import type { UnnumberedView } from '../report/asset-pictures.js';
import { badgeText, badgeWidth, drawBadge } from './badges.js';
import type { JointFindings } from './joint-findings.js';
import { boxAbout } from './placement.js';
import { drawing } from './svg.js';

/** A view with the numbers of what was found at its joints. A joint without any keeps its badge empty. */
export function numberView(
  { label, frame, ground, badges }: UnnumberedView,
  found: readonly JointFindings[],
): string {
  const numbers = new Map(found.map((entry) => [entry.joint, entry.numbers]));
  const marks = badges.map(({ joint, level, box }) => {
    const words = badgeText(numbers.get(joint) ?? []);
    // A list of several files can be longer than that of the one which room was made for.
    const width = Math.max(box.width, badgeWidth(words));
    const middle = [box.x + box.width / 2, box.y + box.height / 2] as const;
    return drawBadge(boxAbout(...middle, width, box.height), words, level);
  });
  return drawing('view', label, frame, ground, ...marks);
}
