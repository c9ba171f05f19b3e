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
 * Turns the frames of joints to the conventions of their rig; skin, children and clips stay in place. A
 * joint's aim axis goes onto its bone and its up axis onto that carried along its segment; an end joint
 * takes its parent's frame; the right of a pair takes what the rig's mirror scheme makes of the left.
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
    const leave = ({ rule, place }: FindingReport, why: string): void => {
      left.push({ rule, place: place.path, why });
    };
    for (const rig of context.model.rigs) {
      const facts = context.facts(rig);
      const findings = context.findings.filter((finding) => finding.rig === rig.index);
      const { wanted, unanswered } = wantedFrames(facts, findings, limitsOfAll(context.settings));
      for (const finding of unanswered)
        leave(finding, finding.rule === 'axis.mirror' ? WHY_NOT_MIRRORED : WHY_UNANSWERED);
      for (const [joint, { frame, finding }] of wanted) {
        const present = frames(facts)[joint];
        const angle = present === undefined ? 0 : frameAngle(present, frame);
        // A segment is found as a whole, whichever of its joints are right.
        if (present === undefined || angle < NOTHING) continue;
        if (mirrors(facts, joint)) {
          leave(finding, WHY_MIRRORED);
          continue;
        }
        const node = rig.joints.node[joint] ?? -1;
        turned.set(node, turnAlone(turnBetween(present, frame)));
        const change = {
          rule: finding.rule,
          place: rig.joints.paths[joint] ?? '',
          before: `frame ${angleWords(angle)} off`,
          after: conventionWords(facts, joint),
        };
        planned.set(node, { finding, change });
      }
    }
    for (const [node, why] of takeOutHindered(ground, turned)) {
      const hindered = planned.get(node);
      if (hindered !== undefined) leave(hindered.finding, why);
      planned.delete(node);
    }
    const changes = Array.from(planned.values(), ({ change }) => change);
    return carryOut(ground, { frames: turned }, { changes, left });
  },
};

/** A smaller turn is rounding. Degrees. */
const NOTHING = 1e-4;

const WHY_NOT_MIRRORED =
  'to mirror its partner would turn it away from its own bone or segment; check which of the two is wrong';

const WHY_UNANSWERED = 'nothing in the rig shows how it should be turned';

function conventionWords(facts: Facts, joint: number): string {
  const aim = aimAxisOf(facts, joint);
  const { up } = conventions(facts);
  return aim === null || up === null
    ? "its parent's frame"
    : `aim ${axisName(aim)}, up ${axisName(up)}`;
}
