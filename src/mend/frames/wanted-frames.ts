import type { LimitOf } from '../../kit/rule.js';
import type { Facts } from '../../measure/facts.js';
import { type Frame, frames } from '../../measure/skeleton/frames.js';
import { mirror } from '../../measure/skeleton/mirror.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';
import type { FindingReport } from '../../report/report-types.js';
import { builtFrame } from './built-frame.js';
import { mirroredRun } from './mirrored-frames.js';

/** The frame that a joint is to have, in the world, and the finding that asks for it. */
export interface Wanted {
  readonly frame: Frame;
  readonly finding: FindingReport;
}

/** The frames that findings ask for, by joint, and the findings that nothing in the rig answers. */
export function wantedFrames(
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
