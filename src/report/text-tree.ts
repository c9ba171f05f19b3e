import type { FindingReport, RigReport } from './report-types.js';
import { append, findingLines, MOST_INDENT } from './text-finding.js';
import { type Folding, foldedLines } from './text-folded.js';
import { jointMarks, marksAt, markWords, unmarkedWords } from './text-marks.js';
import { label, type TextPen } from './text-pen.js';

/**
 * The joint tree of one rig with each finding at its joint, and a short line at the other joints that
 * it lists. Branches that nothing is told of fold to one line, runs of joints on the way to one that
 * something is told of are joined by slashes.
 */
export function treeLines(
  rig: RigReport,
  findings: readonly FindingReport[],
  pen: TextPen,
): string[] {
  const lines: string[] = [];
  const atJoint = new Map<number, FindingReport[]>();
  for (const finding of findings) {
    const joint = finding.place.joint;
    if (joint === null) append(lines, findingLines(finding, pen, 2, unmarkedWords(finding)));
    else if (atJoint.has(joint)) atJoint.get(joint)?.push(finding);
    else atJoint.set(joint, [finding]);
  }
  if (rig.joints.length === 0) return lines;
  const children = childLists(rig);
  const folding = { rig, children: children.of, marks: jointMarks(findings) };
  const hot = withTold(rig, (joint) => atJoint.has(joint) || folding.marks.shown.has(joint));
  if (!hot.includes(1)) return [...lines, ...foldedLines(folding, children.top, 2, pen)];
  drawTree({ ...folding, atJoint, hot, pen, lines }, children.top);
  return lines;
}

interface Drawing extends Folding {
  readonly atJoint: ReadonlyMap<number, readonly FindingReport[]>;
  /** 1 where something is told at a joint or at any joint below it. */
  readonly hot: Uint8Array;
  readonly pen: TextPen;
  readonly lines: string[];
}

/** A step of the drawing: what is left of a row of siblings. */
interface Step {
  /** Siblings that something is told at, or below; those without fold to one line. */
  readonly hot: readonly number[];
  readonly cold: readonly number[];
  readonly depth: number;
  next: number;
}

/** Works off a stack: a chain can be deeper than the call stack. */
function drawTree(drawing: Drawing, tops: readonly number[]): void {
  const { rig, atJoint, children, hot, pen, lines, marks } = drawing;
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
      if (step.cold.length > 0) append(lines, foldedLines(drawing, step.cold, indent, pen));
      stack.pop();
      continue;
    }
    const run = straightRun(first, drawing);
    const joint = run.at(-1) ?? first;
    const names = run.map((item) => label(rig.joints[item]?.name)).join(' / ');
    append(lines, pen.wrap(names, indent, indent + 2));
    const inner = Math.min(indent + 2, MOST_INDENT);
    for (const finding of atJoint.get(joint) ?? [])
      append(lines, findingLines(finding, pen, inner, unmarkedWords(finding)));
    const told = marksAt(marks, joint);
    if (told.length > 0) {
      const each = run.length > 1 && marks.shown.has(first) ? 'each ' : '';
      append(lines, pen.wrap(pen.paint.faint(`(${each}${markWords(told)})`), inner, inner + 2));
    }
    stack.push(stepFor(children[joint] ?? [], step.depth + 1));
  }
}

/**
 * From a joint down to the first one that something is told at, or at which the tree splits; from a
 * joint that is only marked down to the last one that is marked alike.
 */
function straightRun(start: number, { atJoint, children, hot, marks }: Drawing): number[] {
  const run = [start];
  const markOf = (joint: number): string => JSON.stringify(marksAt(marks, joint));
  const isMarked = marks.shown.has(start);
  for (let joint = start; !atJoint.has(joint); ) {
    const below = children[joint] ?? [];
    const next = below[0];
    if (below.length !== 1 || next === undefined || hot[next] === 0) break;
    if (isMarked && (atJoint.has(next) || markOf(next) !== markOf(start))) break;
    if (!isMarked && marks.shown.has(joint)) break;
    run.push(next);
    joint = next;
  }
  return run;
}

function childLists(rig: RigReport): { top: number[]; of: number[][] } {
  const of: number[][] = rig.joints.map(() => []);
  const top: number[] = [];
  rig.joints.forEach((joint, index) => {
    if (joint.parent === -1) top.push(index);
    else of[joint.parent]?.push(index);
  });
  return { top, of };
}

/** Joints that something is told at, and all above them. Joints stand parents first. */
function withTold(rig: RigReport, isTold: (joint: number) => boolean): Uint8Array {
  const hot = new Uint8Array(rig.joints.length);
  for (let joint = hot.length - 1; joint >= 0; joint--) {
    if (isTold(joint)) hot[joint] = 1;
    const parent = rig.joints[joint]?.parent ?? -1;
    if (hot[joint] === 1 && parent !== -1) hot[parent] = 1;
  }
  return hot;
}
