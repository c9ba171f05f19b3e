import type { LimitOf } from '../../kit/rule.js';
import type { Facts } from '../../measure/facts.js';
import { frames } from '../../measure/skeleton/frames.js';
import { segmentRolls } from '../../measure/skeleton/roll.js';
import type { FindingReport } from '../../report/report-types.js';
import { aimedAgain, builtFrame, rolledBack, squaredFrame } from './built-frame.js';
import { pairedFrames, type Wanted } from './paired-frames.js';

const WHY_UNANSWERED = 'nothing in the rig shows how it should be turned';

const WHY_UNPAIRED =
  'no frames suit both joints of the pair: mirrored to its partner, one of the two would turn away from its own bone or segment; check which of the two is wrong';

/**
 * The world frame that each joint is to have, with the finding that asks for it, the partners that are only
 * turned together, and the joints that nothing in the rig answers for, with why.
 */
export function wantedFrames(facts: Facts, findings: readonly FindingReport[], limitOf: LimitOf) {
  const wanted = new Map<number, Wanted>();
  const unanswered: { readonly rule: string; readonly joint: number; readonly why: string }[] = [];
  const leave = ({ rule }: FindingReport, joint: number): void =>
    void unanswered.push({ rule, joint, why: WHY_UNANSWERED });
  const foundBy = (...rules: string[]): FindingReport[] =>
    findings.filter(({ rule }) => rules.includes(rule));
  for (const finding of foundBy('axis.aim', 'axis.uniform', 'axis.up', 'axis.curl'))
    for (const joint of jointsOf(facts, finding)) {
      const frame = (FRAMES[finding.rule] ?? builtFrame)(facts, joint);
      if (frame === null) leave(finding, joint);
      else if (!wanted.has(joint)) wanted.set(joint, { frame, finding });
    }
  for (const finding of foundBy('axis.end'))
    for (const joint of listed(finding)) {
      const parent = facts.rig.joints.parent[joint] ?? -1;
      const frame = wanted.get(parent)?.frame ?? frames(facts)[parent];
      if (frame === undefined) leave(finding, joint);
      else wanted.set(joint, { frame, finding });
    }
  const paired = pairedFrames(facts, wanted, foundBy('axis.mirror'), limitOf);
  for (const { rule, joint } of paired.unsuited)
    unanswered.push({ rule, joint, why: WHY_UNPAIRED });
  return { wanted: paired.wanted, tied: paired.tied, unanswered };
}

/** How the frame is built that a rule asks for, where that is its own way. */
const FRAMES: Readonly<Record<string, typeof builtFrame>> = {
  'axis.aim': aimedAgain,
  'axis.uniform': squaredFrame,
  'axis.up': rolledBack,
};

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
