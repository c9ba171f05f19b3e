import type { LimitOf } from '../../kit/rule.js';
import type { Axis, Facts } from '../../measure/facts.js';
import { boneDirection } from '../../measure/skeleton/bones.js';
import { aimAxisOf, aimJoints } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { axisWorld, type Frame, frames } from '../../measure/skeleton/frames.js';
import { heldScheme, type MirrorScheme, mirror } from '../../measure/skeleton/mirror.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';
import type { FindingReport } from '../../report/report-types.js';
import { angleBetween, carry, scale, type Vec3 } from '../../rig/vec3.js';
import { frameFrom } from './frame-algebra.js';

/**
 * The world frame that each joint is to have, with the finding that asks for it, and the findings that
 * nothing in the rig answers.
 */
export function wantedFrames(facts: Facts, findings: readonly FindingReport[], limitOf: LimitOf) {
  const wanted = new Map<number, { readonly frame: Frame; readonly finding: FindingReport }>();
  const unanswered: FindingReport[] = [];
  const foundBy = (...rules: string[]): FindingReport[] =>
    findings.filter(({ rule }) => rules.includes(rule));
  for (const finding of foundBy('axis.aim', 'axis.uniform', 'axis.up', 'axis.curl'))
    for (const joint of jointsOf(facts, finding)) {
      const frame = builtFrame(facts, joint);
      if (frame === null) unanswered.push(finding);
      else if (!wanted.has(joint)) wanted.set(joint, { frame, finding });
    }
  for (const finding of foundBy('axis.end'))
    for (const joint of listed(finding)) {
      const parent = facts.rig.joints.parent[joint] ?? -1;
      const frame = wanted.get(parent)?.frame ?? frames(facts)[parent];
      if (frame === undefined) unanswered.push(finding);
      else wanted.set(joint, { frame, finding });
    }
  for (const finding of foundBy('axis.mirror')) {
    const joints = listed(finding);
    const rights = mirror(facts)
      .pairs.filter(({ pair }) => joints.includes(pair.left) || joints.includes(pair.right))
      .map(({ pair }) => pair.right);
    for (const right of new Set(rights)) {
      const run = mirroredRun(facts, right, limitOf, (joint) => wanted.get(joint)?.frame);
      if (run === null) unanswered.push(finding);
      for (const [joint, frame] of run ?? [])
        if (!wanted.has(joint)) wanted.set(joint, { frame, finding });
    }
  }
  return { wanted, unanswered };
}

/** The joints of a finding; all of the segment for one about a curl. */
function jointsOf(facts: Facts, finding: FindingReport): readonly number[] {
  if (finding.rule !== 'axis.curl') return listed(finding);
  const segment = segmentRolls(facts).find(({ joints }) => joints[0] === finding.place.joint);
  return segment?.joints.slice(0, -1) ?? [];
}

/** All joints that a finding lists. */
function listed({ places }: FindingReport): number[] {
  return places.flatMap(({ joint }) => joint ?? []);
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

/**
 * What the mirror scheme of the standard, else of the rig, makes of the left, for the right of a pair; for all of its segment
 * where all of that is off, since a limb rolled as a whole is one fault. Null where it does not suit
 * the bones, or the segment: a mend must not trade one finding for another.
 */
function mirroredRun(
  facts: Facts,
  right: number,
  limitOf: LimitOf,
  planned: (joint: number) => Frame | undefined,
): Map<number, Frame> | null {
  const [{ pairs }, scheme] = [mirror(facts), heldScheme(facts)];
  if (scheme === null) return null;
  const segment = segmentRolls(facts).find(({ joints }) => joints.includes(right));
  const inSegment = pairs.filter(({ pair }) => segment?.joints.includes(pair.right) === true);
  const limit = limitOf('axis.mirror', 'turn');
  const whole = inSegment.length > 0 && inSegment.every(({ miss }) => miss[scheme] > limit);
  const run = whole ? inSegment : pairs.filter(({ pair }) => pair.right === right).slice(0, 1);
  /** Whether a frame suits a joint's bone, and the roll of its segment unless all of that is turned. */
  const suits = (joint: number, frame: Frame): boolean => {
    const built = builtFrame(facts, joint);
    const [aim, { up }] = [aimAxisOf(facts, joint), conventions(facts)];
    if (built === null || aim === null || up === null) return true;
    const isNear = ({ index }: Axis, rule: string): boolean =>
      angleBetween(frame[index], built[index]) <= limitOf(rule, 'warn');
    return isNear(aim, 'axis.aim') && (whole || isNear(up, 'axis.up'));
  };
  const mirrored = new Map<number, Frame>();
  for (const { pair } of run) {
    const source = planned(pair.left) ?? frames(facts)[pair.left];
    if (source === undefined) return null;
    const frame = mirroredFrame(facts, pair.left, source, scheme);
    if (planned(pair.right) !== undefined || !suits(pair.right, frame)) return null;
    mirrored.set(pair.right, frame);
  }
  return mirrored;
}

function mirroredFrame(facts: Facts, left: number, frame: Frame, scheme: MirrorScheme): Frame {
  if (scheme === 'copied') return frame;
  const aim = aimAxisOf(facts, left)?.index ?? 0;
  const up = conventions(facts).up?.index ?? (aim + 1) % 3;
  const turned = { 'aim reversed': aim, 'up reversed': up, 'side reversed': 3 - aim - up };
  const mirroredAxis = (axis: 0 | 1 | 2): Vec3 => {
    const [x, y, z] = frame[axis];
    const isReversed = scheme === 'all reversed' || turned[scheme] === axis;
    return scale([-x, y, z], isReversed ? -1 : 1);
  };
  return [mirroredAxis(0), mirroredAxis(1), mirroredAxis(2)];
}
