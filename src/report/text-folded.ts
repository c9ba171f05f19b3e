import type { RigReport } from './report-types.js';
import { type JointMarks, markWords } from './text-marks.js';
import { label, type TextPen } from './text-pen.js';

/** What the tree of a rig is folded by. */
export interface Folding {
  readonly rig: RigReport;
  readonly children: readonly (readonly number[])[];
  readonly marks: JointMarks;
}

/** Branches that a folded line names. */
const NAMED = 6;

/**
 * Branches without a finding as one line: `(6 joints hold: wing_1_L, wing_1_R and below)`. Joints that
 * a finding lists do not hold: `(6 joints: wing_1_L, wing_1_R and below; 2 hold, 4 also axis.up, told
 * at "shin_L")`.
 */
export function foldedLines(
  folding: Folding,
  branches: readonly number[],
  indent: number,
  pen: TextPen,
): string[] {
  const { rig } = folding;
  const { total, listed, marks } = countBelow(folding, branches);
  const held = total - listed;
  const named = branches.slice(0, NAMED).map((joint) => label(rig.joints[joint]?.name));
  const more = branches.length > NAMED ? ` and ${branches.length - NAMED} more branches` : '';
  const names = `${named.join(', ')}${more}${total > branches.length ? ' and below' : ''}`;
  const joints = total === 1 ? '1 joint' : `${total} joints`;
  const words =
    listed === 0
      ? `${joints} without findings: ${names}`
      : held === 0
        ? `${joints}: ${names}; ${markWords(marks)}`
        : `${joints}: ${names}; ${held} without findings, ${listed} ${markWords(marks)}`;
  return pen.wrap(pen.paint.faint(`(${words})`), indent, indent + 2);
}

/** The joints of branches, those among them that a finding lists, and what it is told by. */
function countBelow(
  { children, marks: { folded } }: Folding,
  branches: readonly number[],
): { readonly total: number; readonly listed: number; readonly marks: readonly string[] } {
  const marks = new Set<string>();
  let [total, listed] = [0, 0];
  // Works off a stack: a chain can be deeper than the call stack.
  const open = [...branches];
  for (let joint = open.pop(); joint !== undefined; joint = open.pop()) {
    total++;
    const own = folded.get(joint);
    if (own !== undefined) listed++;
    for (const words of own ?? []) marks.add(words);
    for (const child of children[joint] ?? []) open.push(child);
  }
  return { total, listed, marks: [...marks] };
}
