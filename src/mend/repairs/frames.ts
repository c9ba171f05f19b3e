import { limitsOfAll } from '../../check/settings.js';
import { angleWords } from '../../kit/figures.js';
import type { LimitOf } from '../../kit/rule.js';
import { type Axis, axisName, type Facts } from '../../measure/facts.js';
import { boneDirection } from '../../measure/skeleton/bones.js';
import { aimAxisOf, aimJoints } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { axisWorld, type Frame, frameAngle, frames } from '../../measure/skeleton/frames.js';
import { type MirrorScheme, mirror } from '../../measure/skeleton/mirror.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';
import type { FindingReport } from '../../report/report-types.js';
import type { Quaternion } from '../../rig/quaternion.js';
import {
  angleBetween,
  carry,
  cross,
  direction,
  dot,
  reject,
  scale,
  type Vec3,
} from '../../rig/vec3.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';
import { takeOutUncarried, turnFrames, whyNotTurned } from '../turn-frames.js';

/**
 * Turns the frames of joints to the conventions of their rig, leaving skin, children and clips where
 * they are. A joint's aim axis goes onto its bone and its up axis onto that carried along its
 * segment; an end joint takes its parent's frame; the right of a pair takes what the rig's mirror
 * scheme makes of the left.
 */
export const turnedFrames: Repair = {
  name: 'frames',
  tells:
    'Frames are turned to the convention of the rig or the standard: the aim axis along the bone, the up axis carried along the segment. End joints and mirrored partners are included.',
  rules: ['axis.aim', 'axis.uniform', 'axis.up', 'axis.curl', 'axis.end', 'axis.mirror'],
  mend(context: MendContext): Mended {
    const turns = new Map<number, Quaternion>();
    const planned = new Map<number, { readonly finding: FindingReport; readonly change: Change }>();
    const left: LeftAlone[] = [];
    for (const rig of context.model.rigs) {
      const facts = context.facts(rig);
      const own = context.findings.filter((finding) => finding.rig === rig.index);
      const { wanted, unanswered } = wantedFrames(facts, own, limitsOfAll(context.settings));
      for (const finding of unanswered)
        left.push(leave(finding, WHY_UNANSWERED[finding.rule] ?? WHY_UNANSWERED.other));
      for (const [joint, { frame, finding }] of wanted) {
        const reason = whyNotTurned(facts, joint, context.edit.json);
        if (reason !== null) {
          left.push(leave(finding, reason));
          continue;
        }
        const present = frames(facts)[joint];
        // A segment is found as a whole, whichever of its joints are right.
        if (present === undefined || frameAngle(present, frame) < NOTHING) continue;
        const node = rig.joints.node[joint] ?? -1;
        turns.set(node, turnBetween(present, frame));
        const change = {
          rule: finding.rule,
          place: rig.joints.paths[joint] ?? '',
          before: `frame ${angleWords(frameAngle(present, frame))} off`,
          after: conventionWords(facts, joint),
        };
        planned.set(node, { finding, change });
      }
    }
    for (const [node, why] of takeOutUncarried(context.edit.json, turns)) {
      const taken = planned.get(node);
      planned.delete(node);
      if (taken !== undefined) left.push(leave(taken.finding, why));
    }
    if (turns.size > 0) turnFrames(context.edit, turns);
    return { changes: [...planned.values()].map(({ change }) => change), left };
  },
};

/** A smaller turn is rounding. Degrees. */
const NOTHING = 1e-4;

const WHY_UNANSWERED: Readonly<Record<string, string>> & { readonly other: string } = {
  'axis.mirror':
    'to mirror its partner would turn it away from its own bone or segment; check which of the two is wrong',
  other: 'nothing in the rig shows how it should be turned',
};

interface Wanted {
  readonly frame: Frame;
  readonly finding: FindingReport;
}

function wantedFrames(
  facts: Facts,
  findings: readonly FindingReport[],
  limitOf: LimitOf,
): { wanted: Map<number, Wanted>; unanswered: FindingReport[] } {
  const wanted = new Map<number, Wanted>();
  const unanswered: FindingReport[] = [];
  const asked = (rules: readonly string[]): FindingReport[] =>
    findings.filter(({ rule }) => rules.includes(rule));
  for (const finding of asked(['axis.aim', 'axis.uniform', 'axis.up', 'axis.curl']))
    for (const joint of jointsOf(facts, finding)) {
      const frame = builtFrame(facts, joint);
      if (frame === null) unanswered.push(finding);
      else if (!wanted.has(joint)) wanted.set(joint, { frame, finding });
    }
  for (const finding of asked(['axis.end'])) {
    for (const joint of listed(finding)) {
      const parent = facts.rig.joints.parent[joint] ?? -1;
      const frame = wanted.get(parent)?.frame ?? frames(facts)[parent];
      if (frame === undefined) unanswered.push(finding);
      else wanted.set(joint, { frame, finding });
    }
  }
  for (const finding of asked(['axis.mirror'])) {
    for (const right of rightOnes(facts, listed(finding))) {
      const made = mirroredRun(facts, right, limitOf, (joint) => wanted.get(joint)?.frame);
      if (made === null) unanswered.push(finding);
      else
        for (const [joint, frame] of made)
          if (!wanted.has(joint)) wanted.set(joint, { frame, finding });
    }
  }
  return { wanted, unanswered };
}

/** All joints that a finding lists. */
function listed({ places }: FindingReport): number[] {
  return places.flatMap(({ joint }) => (joint === null ? [] : [joint]));
}

/** The right joints of the pairs among some joints, each once. */
function rightOnes(facts: Facts, joints: readonly number[]): number[] {
  const { pairs: judged } = mirror(facts);
  const rights = judged.flatMap(({ pair }) =>
    joints.includes(pair.left) || joints.includes(pair.right) ? [pair.right] : [],
  );
  return [...new Set(rights)];
}

/** The joints of a finding; all of the segment for one about a curl. */
function jointsOf(facts: Facts, finding: FindingReport): readonly number[] {
  if (finding.rule !== 'axis.curl') return listed(finding);
  const joint = finding.place.joint ?? -1;
  return (
    segmentRolls(facts)
      .find(({ joints }) => joints[0] === joint)
      ?.joints.slice(0, -1) ?? []
  );
}

/** Aim axis along the bone, up axis as carried along the segment; null where the rig does not say. */
function builtFrame(facts: Facts, joint: number): Frame | null {
  const [aimAxis, { up: upAxis }] = [aimAxisOf(facts, joint), conventions(facts)];
  if (aimAxis === null || upAxis === null) return null;
  for (const { joints, aims, carriedUps } of segmentRolls(facts)) {
    const at = joints.indexOf(joint);
    const [aim, up] = [aims[at], carriedUps[at]];
    if (at === -1 || at === joints.length - 1 || aim === undefined || up === undefined) continue;
    return frameFrom(aimAxis, upAxis, aim, up);
  }
  // Outside of any segment: along its bone, by the smallest turn that takes it there.
  const child = aimJoints(facts)[joint] ?? -1;
  const aim = child === -1 ? null : boneDirection(facts, joint, child);
  if (aim === null) return null;
  const present = axisWorld(facts, joint, aimAxis);
  return frameFrom(aimAxis, upAxis, aim, carry(axisWorld(facts, joint, upAxis), present, aim));
}

/** The right-handed frame that has one axis along `aim` and another as near to `up` as can be. */
export function frameFrom(aimAxis: Axis, upAxis: Axis, aim: Vec3, up: Vec3): Frame | null {
  const along = direction(aim);
  const above = along && direction(reject(up, along));
  if (along === null || above === null || aimAxis.index === upAxis.index) return null;
  const axes: Vec3[] = [
    [0, 0, 0],
    [0, 0, 0],
    [0, 0, 0],
  ];
  axes[aimAxis.index] = scale(along, aimAxis.sign);
  axes[upAxis.index] = scale(above, upAxis.sign);
  const third = 3 - aimAxis.index - upAxis.index;
  const [next = [1, 0, 0], after = [0, 1, 0]] = [axes[(third + 1) % 3], axes[(third + 2) % 3]];
  axes[third] = cross(next, after);
  const [x = [1, 0, 0], y = [0, 1, 0], z = [0, 0, 1]] = axes;
  return [x, y, z];
}

/**
 * What the rig's mirror scheme makes of the left, for the right of a pair; for all of its segment
 * where all of that is off, since a limb rolled as a whole is one fault. Null where it does not suit
 * the bones, or the segment: a mend must not trade one finding for another.
 */
function mirroredRun(
  facts: Facts,
  right: number,
  limitOf: LimitOf,
  planned: (joint: number) => Frame | undefined,
): Map<number, Frame> | null {
  const { scheme, pairs: judged } = mirror(facts);
  const told = judged.find(({ pair }) => pair.right === right);
  if (scheme === null || told === undefined) return null;
  const segment = segmentRolls(facts).find(({ joints }) => joints.includes(told.pair.right));
  const inSegment = judged.filter(({ pair }) => segment?.joints.includes(pair.right) === true);
  const near = limitOf('axis.mirror', 'turn');
  const whole = inSegment.length > 0 && inSegment.every(({ miss }) => miss[scheme] > near);
  const run = whole ? inSegment : [told];
  const made = new Map<number, Frame>();
  for (const { pair } of run) {
    const source = planned(pair.left) ?? frames(facts)[pair.left];
    if (source === undefined) return null;
    const frame = mirroredFrame(facts, pair.left, source, scheme);
    if (planned(pair.right) !== undefined || !suits(facts, pair.right, frame, whole, limitOf))
      return null;
    made.set(pair.right, frame);
  }
  return made;
}

/** Whether a frame suits a joint's bone, and the roll of its segment unless all of that is turned. */
function suits(
  facts: Facts,
  joint: number,
  frame: Frame,
  aimAlone: boolean,
  limitOf: LimitOf,
): boolean {
  const built = builtFrame(facts, joint);
  const [aim, { up }] = [aimAxisOf(facts, joint), conventions(facts)];
  if (built === null || aim === null || up === null) return true;
  const isNear = (axis: Axis, rule: string): boolean =>
    angleBetween(frame[axis.index], built[axis.index]) <= limitOf(rule, 'warn');
  return isNear(aim, 'axis.aim') && (aimAlone || isNear(up, 'axis.up'));
}

function mirroredFrame(facts: Facts, left: number, frame: Frame, scheme: MirrorScheme): Frame {
  if (scheme === 'copied') return frame;
  const aim = aimAxisOf(facts, left)?.index ?? 0;
  const up = conventions(facts).up?.index ?? (aim + 1) % 3;
  const turned = { 'aim reversed': aim, 'up reversed': up, 'side reversed': 3 - aim - up };
  const sign = (axis: number): number =>
    scheme === 'behaviour' ? -1 : turned[scheme] === axis ? -1 : 1;
  const of = (axis: 0 | 1 | 2): Vec3 => {
    const [x, y, z] = frame[axis];
    return scale([-x, y, z], sign(axis));
  };
  return [of(0), of(1), of(2)];
}

/** The turn C in the joint's own frame that takes one frame to another: C = A^T B, as a unit quaternion. */
export function turnBetween(from: Frame, to: Frame): Quaternion {
  const m = (row: number, column: number): number =>
    dot(from[row] ?? [0, 0, 0], to[column] ?? [0, 0, 0]);
  const [a, b, c] = [m(0, 0), m(1, 1), m(2, 2)];
  // The largest component is taken from the diagonal, so that nothing is divided by a small number.
  const squares = [1 + a - b - c, 1 - a + b - c, 1 - a - b + c, 1 + a + b + c];
  const largest = squares.indexOf(Math.max(...squares));
  const rows: Quaternion[] = [
    [squares[0] ?? 0, m(1, 0) + m(0, 1), m(0, 2) + m(2, 0), m(2, 1) - m(1, 2)],
    [m(1, 0) + m(0, 1), squares[1] ?? 0, m(2, 1) + m(1, 2), m(0, 2) - m(2, 0)],
    [m(0, 2) + m(2, 0), m(2, 1) + m(1, 2), squares[2] ?? 0, m(1, 0) - m(0, 1)],
    [m(2, 1) - m(1, 2), m(0, 2) - m(2, 0), m(1, 0) - m(0, 1), squares[3] ?? 0],
  ];
  const [x = 0, y = 0, z = 0, w = 1] = rows[largest] ?? [];
  const length = Math.hypot(x, y, z, w);
  return [x / length, y / length, z / length, w / length];
}

function leave({ rule, place }: FindingReport, why: string): LeftAlone {
  return { rule, place: place.path, why };
}

function conventionWords(facts: Facts, joint: number): string {
  const [aim, { up }] = [aimAxisOf(facts, joint), conventions(facts)];
  return aim === null || up === null
    ? "its parent's frame"
    : `aim ${axisName(aim)}, up ${axisName(up)}`;
}
