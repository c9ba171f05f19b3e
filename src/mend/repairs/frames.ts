import { limitsOfAll } from '../../check/settings.js';
import { angleWords } from '../../kit/figures.js';
import { axisName, type Facts } from '../../measure/facts.js';
import { aimAxisOf } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { frameAngle, frames } from '../../measure/skeleton/frames.js';
import type { FindingReport } from '../../report/report-types.js';
import { mirrors, turnBetween, WHY_MIRRORED } from '../frames/frame-algebra.js';
import { wantedFrames } from '../frames/wanted-frames.js';
import { carryOut, takeOutHindered } from '../reframe/carry-out.js';
import { Ground } from '../reframe/ground.js';
import type { Frame } from '../reframe/reframing.js';
import { turnAlone } from '../reframe/similarity.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

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
    const ground = new Ground(context);
    const turned = new Map<number, Frame>();
    const planned = new Map<number, { readonly finding: FindingReport; readonly change: Change }>();
    const left: LeftAlone[] = [];
    for (const rig of context.model.rigs) {
      const facts = context.facts(rig);
      const own = context.findings.filter((finding) => finding.rig === rig.index);
      const { wanted, unanswered } = wantedFrames(facts, own, limitsOfAll(context.settings));
      for (const finding of unanswered)
        left.push(leave(finding, WHY_UNANSWERED[finding.rule] ?? WHY_UNANSWERED.other));
      for (const [joint, { frame, finding }] of wanted) {
        const present = frames(facts)[joint];
        // A segment is found as a whole, whichever of its joints are right.
        if (present === undefined || frameAngle(present, frame) < NOTHING) continue;
        if (mirrors(facts, joint)) {
          left.push(leave(finding, WHY_MIRRORED));
          continue;
        }
        const node = rig.joints.node[joint] ?? -1;
        turned.set(node, turnAlone(turnBetween(present, frame)));
        const change = {
          rule: finding.rule,
          place: rig.joints.paths[joint] ?? '',
          before: `frame ${angleWords(frameAngle(present, frame))} off`,
          after: conventionWords(facts, joint),
        };
        planned.set(node, { finding, change });
      }
    }
    for (const [node, why] of takeOutHindered(ground, turned)) {
      const taken = planned.get(node);
      planned.delete(node);
      if (taken !== undefined) left.push(leave(taken.finding, why));
    }
    const changes = [...planned.values()].map(({ change }) => change);
    return carryOut(ground, { frames: turned }, { changes, left });
  },
};

/** A smaller turn is rounding. Degrees. */
const NOTHING = 1e-4;

const WHY_UNANSWERED: Readonly<Record<string, string>> & { readonly other: string } = {
  'axis.mirror':
    'to mirror its partner would turn it away from its own bone or segment; check which of the two is wrong',
  other: 'nothing in the rig shows how it should be turned',
};

function leave({ rule, place }: FindingReport, why: string): LeftAlone {
  return { rule, place: place.path, why };
}

function conventionWords(facts: Facts, joint: number): string {
  const [aim, { up }] = [aimAxisOf(facts, joint), conventions(facts)];
  return aim === null || up === null
    ? "its parent's frame"
    : `aim ${axisName(aim)}, up ${axisName(up)}`;
}
