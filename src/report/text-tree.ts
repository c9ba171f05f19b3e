import { groupBy } from '../rig/group-by.js';
import type { Numbers } from './finding-numbers.js';
import { counted } from './finding-words.js';
import type { FindingReport, RigReport } from './report-types.js';
import { type JointMarks, jointMarks, marksAt, markWords, unmarkedWords } from './text-marks.js';
import { append, findingLines, label, MOST_INDENT, type TextPen } from './text-pen.js';

/** Branches that a folded line names. */
const NAMED = 6;

interface Drawing {
  readonly rig: RigReport;
  readonly children: readonly (readonly number[])[];
  readonly marks: JointMarks;
  /** Findings by their own joint; those about no joint at null. */
  readonly atJoint: ReadonlyMap<number | null, readonly FindingReport[]>;
  /** 1 where a joint, or any joint below it, has a finding or is marked. */
  readonly hot: Uint8Array;
  readonly numbers: Numbers;
  readonly pen: TextPen;
  readonly lines: string[];
}

/**
 * The joint tree of one rig with each finding at its joint, and a short line at the other joints that
 * it lists. Branches without findings fold to one line, and runs of joints on the way to a joint with
 * a finding are joined by slashes.
 */
export function treeLines(
  rig: RigReport,
  findings: readonly FindingReport[],
  numbers: Numbers,
  pen: TextPen,
): string[] {
  const atJoint = groupBy(findings, ({ place }) => place.joint);
  const lines: string[] = [];
  for (const finding of atJoint.get(null) ?? [])
    append(lines, findingLines(finding, numbers, pen, 2, unmarkedWords(finding)));
  const tops: number[] = [];
  const children: number[][] = rig.joints.map(() => []);
  for (const [index, { parent }] of rig.joints.entries()) (children[parent] ?? tops).push(index);
  const marks = jointMarks(findings);
  const hot = withAbove(rig, (joint) => atJoint.has(joint) || marks.shown.has(joint));
  const drawing: Drawing = { rig, children, marks, atJoint, hot, numbers, pen, lines };
  if (hot.includes(1)) drawTree(drawing, tops);
  else if (rig.joints.length > 0) append(lines, foldedLines(drawing, tops, 2));
  return lines;
}

/** A step of the drawing: what is left of a row of siblings. */
interface Step {
  readonly hot: readonly number[];
  /** Siblings that fold to one line. */
  readonly cold: readonly number[];
  readonly depth: number;
  next: number;
}

/** Works off a stack: a chain can be deeper than the call stack. */
function drawTree(drawing: Drawing, tops: readonly number[]): void {
  const { rig, atJoint, children, hot, numbers, pen, lines, marks } = drawing;
  const stepFor = (joints: readonly number[], depth: number): Step => ({
    hot: joints.filter((joint) => hot[joint] === 1),
    cold: joints.filter((joint) => hot[joint] === 0),
    depth,
    next: 0,
  });
  const stack = [stepFor(tops, 0)];
  for (let step = stack.at(-1); step !== undefined; step = stack.at(-1)) {
    const indent = Math.min(2 + 2 * step.depth, MOST_INDENT);
    const first = step.hot[step.next++];
    if (first === undefined) {
      if (step.cold.length > 0) append(lines, foldedLines(drawing, step.cold, indent));
      stack.pop();
      continue;
    }
    const run = straightRun(first, drawing);
    const joint = run.at(-1) ?? first;
    const names = run.map((index) => label(rig.joints[index]?.name)).join(' / ');
    append(lines, pen.wrap(names, indent, indent + 2));
    const inner = Math.min(indent + 2, MOST_INDENT);
    for (const finding of atJoint.get(joint) ?? [])
      append(lines, findingLines(finding, numbers, pen, inner, unmarkedWords(finding)));
    const words = marksAt(marks, joint);
    if (words.length > 0) {
      const each = run.length > 1 && marks.shown.has(first) ? 'each ' : '';
      append(lines, pen.wrap(pen.paint.faint(`(${each}${markWords(words)})`), inner, inner + 2));
    }
    stack.push(stepFor(children[joint] ?? [], step.depth + 1));
  }
}

/**
 * From a joint down to the first one that has a finding or a mark, or at which the tree splits; from a
 * joint that is only marked down to the last one that is marked alike.
 */
function straightRun(start: number, { atJoint, children, hot, marks }: Drawing): number[] {
  const run = [start];
  const markOf = (joint: number): string => JSON.stringify(marksAt(marks, joint));
  const isMarked = marks.shown.has(start);
  for (let joint = start; !atJoint.has(joint); ) {
    const [next, ...others] = children[joint] ?? [];
    if (next === undefined || others.length > 0 || hot[next] === 0) break;
    if (isMarked && (atJoint.has(next) || markOf(next) !== markOf(start))) break;
    if (!isMarked && marks.shown.has(joint)) break;
    run.push(next);
    joint = next;
  }
  return run;
}

/**
 * Branches without a finding as one line: `(6 joints without findings: wing_1_L, wing_1_R and below)`.
 * Joints that a finding lists are counted apart: `(6 joints: wing_1_L, wing_1_R and below; 2 without
 * findings, 4 also axis.up, listed at "shin_L")`.
 */
function foldedLines(
  { rig, children, marks: { folded }, pen }: Drawing,
  branches: readonly number[],
  indent: number,
): string[] {
  const marks = new Set<string>();
  let [total, marked] = [0, 0];
  // Works off a stack, as `drawTree` does.
  const open = [...branches];
  for (let joint = open.pop(); joint !== undefined; joint = open.pop()) {
    total++;
    if (folded.has(joint)) marked++;
    for (const words of folded.get(joint) ?? []) marks.add(words);
    for (const child of children[joint] ?? []) open.push(child);
  }
  const named = branches.slice(0, NAMED).map((joint) => label(rig.joints[joint]?.name));
  const more = branches.length > NAMED ? ` and ${branches.length - NAMED} more branches` : '';
  const names = `${named.join(', ')}${more}${total > branches.length ? ' and below' : ''}`;
  const joints = counted(total, 'joint');
  const free = total - marked;
  const also = `${free > 0 ? `${free} without findings, ${marked} ` : ''}${markWords([...marks])}`;
  const words =
    marked === 0 ? `${joints} without findings: ${names}` : `${joints}: ${names}; ${also}`;
  return pen.wrap(pen.paint.faint(`(${words})`), indent, indent + 2);
}

/** 1 for each such joint, and for all above it. Parents come first in the list of joints. */
function withAbove(rig: RigReport, isWanted: (joint: number) => boolean): Uint8Array {
  const hot = new Uint8Array(rig.joints.length);
  for (let joint = hot.length - 1; joint >= 0; joint--) {
    if (isWanted(joint)) hot[joint] = 1;
    const parent = rig.joints[joint]?.parent ?? -1;
    if (hot[joint] === 1 && parent !== -1) hot[parent] = 1;
  }
  return hot;
}
