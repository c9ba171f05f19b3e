import type { FindingReport, RigReport } from './report-types.js';
import { append, findingLines, label, MOST_INDENT, type TextPen } from './text.js';

/**
 * The joint tree of one rig with each finding at its joint. Branches without a finding fold to one
 * line, runs of joints without a finding on the way to one are joined by slashes.
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
    if (joint === null) append(lines, findingLines(finding, pen, 2));
    else if (atJoint.has(joint)) atJoint.get(joint)?.push(finding);
    else atJoint.set(joint, [finding]);
  }
  if (rig.joints.length === 0) return lines;
  const children = childLists(rig);
  if (atJoint.size === 0)
    return [...lines, ...soundLines(rig, children.top, subtreeSizes(rig), 2, pen)];
  drawTree(
    {
      rig,
      atJoint,
      children: children.of,
      sizes: subtreeSizes(rig),
      hot: withFindings(rig, atJoint),
      pen,
      lines,
    },
    children.top,
  );
  return lines;
}

interface Drawing {
  readonly rig: RigReport;
  readonly atJoint: ReadonlyMap<number, readonly FindingReport[]>;
  readonly children: readonly (readonly number[])[];
  readonly sizes: Int32Array;
  /** 1 where a joint or any joint below it has a finding. */
  readonly hot: Uint8Array;
  readonly pen: TextPen;
  readonly lines: string[];
}

/** A step of the drawing: what is left of a row of siblings. */
interface Step {
  /** Siblings with findings, or with joints below that have some; those without fold to one line. */
  readonly hot: readonly number[];
  readonly cold: readonly number[];
  readonly depth: number;
  next: number;
}

/** Works off a stack: a chain can be deeper than the call stack. */
function drawTree(drawing: Drawing, tops: readonly number[]): void {
  const { rig, atJoint, children, hot, pen, lines, sizes } = drawing;
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
      if (step.cold.length > 0) append(lines, soundLines(rig, step.cold, sizes, indent, pen));
      stack.pop();
      continue;
    }
    const run = straightRun(first, atJoint, children, hot);
    const joint = run.at(-1) ?? first;
    const names = run.map((item) => label(rig.joints[item]?.name)).join(' / ');
    append(lines, pen.wrap(names, indent, indent + 2));
    for (const finding of atJoint.get(joint) ?? []) {
      append(lines, findingLines(finding, pen, Math.min(indent + 2, MOST_INDENT)));
    }
    stack.push(stepFor(children[joint] ?? [], step.depth + 1));
  }
}

/** From a joint down to the first one with a finding of its own, or at which the tree splits. */
function straightRun(
  start: number,
  atJoint: ReadonlyMap<number, readonly FindingReport[]>,
  children: readonly (readonly number[])[],
  hot: Uint8Array,
): number[] {
  const run = [start];
  for (let joint = start; !atJoint.has(joint); ) {
    const below = children[joint] ?? [];
    const next = below[0];
    if (below.length !== 1 || next === undefined || hot[next] === 0) break;
    run.push(next);
    joint = next;
  }
  return run;
}

/** `6 joints hold: wing_1_L, wing_1_R and below`. */
function soundLines(
  rig: RigReport,
  branches: readonly number[],
  sizes: Int32Array,
  indent: number,
  pen: TextPen,
): string[] {
  const total = branches.reduce((sum, joint) => sum + (sizes[joint] ?? 1), 0);
  const names = branches.slice(0, NAMED).map((joint) => label(rig.joints[joint]?.name));
  const more = branches.length > NAMED ? ` and ${branches.length - NAMED} more branches` : '';
  const below = total > branches.length ? ' and below' : '';
  const noun = total === 1 ? '1 joint holds' : `${total} joints hold`;
  return pen.wrap(
    pen.paint.faint(`(${noun}: ${names.join(', ')}${more}${below})`),
    indent,
    indent + 2,
  );
}

/** Branches that a folded line names. */
const NAMED = 6;

function childLists(rig: RigReport): { top: number[]; of: number[][] } {
  const of: number[][] = rig.joints.map(() => []);
  const top: number[] = [];
  rig.joints.forEach((joint, index) => {
    if (joint.parent === -1) top.push(index);
    else of[joint.parent]?.push(index);
  });
  return { top, of };
}

/** Joints of each subtree. Joints stand parents first. */
function subtreeSizes(rig: RigReport): Int32Array {
  const sizes = new Int32Array(rig.joints.length).fill(1);
  for (let joint = sizes.length - 1; joint >= 0; joint--) {
    const parent = rig.joints[joint]?.parent ?? -1;
    if (parent !== -1) sizes[parent] = (sizes[parent] ?? 0) + (sizes[joint] ?? 0);
  }
  return sizes;
}

function withFindings(rig: RigReport, atJoint: ReadonlyMap<number, unknown>): Uint8Array {
  const hot = new Uint8Array(rig.joints.length);
  for (let joint = hot.length - 1; joint >= 0; joint--) {
    if (atJoint.has(joint)) hot[joint] = 1;
    const parent = rig.joints[joint]?.parent ?? -1;
    if (hot[joint] === 1 && parent !== -1) hot[parent] = 1;
  }
  return hot;
}
