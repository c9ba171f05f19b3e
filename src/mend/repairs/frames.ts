import { limitsOfAll } from '../../check/settings.js';
import { angleWords } from '../../kit/figures.js';
import { axisName, type Facts } from '../../measure/facts.js';
import { aimAxisOf } from '../../measure/skeleton/chains.js';
import { conventions } from '../../measure/skeleton/conventions.js';
import { frameAngle, frames } from '../../measure/skeleton/frames.js';
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
 * takes its parent's frame; the two of a pair are turned together, by the rig's mirror scheme.
 */
export const turnedFrames: Repair = {
  name: 'frames',
  tells:
    'Frames are turned to the convention of the rig or the standard: the aim axis along the bone, the up axis carried along the segment. End joints and mirrored partners are included.',
  rules: ['axis.aim', 'axis.uniform', 'axis.up', 'axis.curl', 'axis.end', 'axis.mirror'],
  mend(context: MendContext): Mended {
    const ground = new Ground(context);
    const turned = new Map<number, Frame>();
    const planned = new Map<number, Change>();
    const left: LeftAlone[] = [];
    const partners = new Map<number, number>();
    /** Nodes that have to stay as they are, and why. */
    const staying = new Map<number, string>();
    for (const rig of context.model.rigs) {
      const { node: nodes, paths } = rig.joints;
      const facts = context.facts(rig);
      const findings = context.findings.filter((finding) => finding.rig === rig.index);
      const limits = limitsOfAll(context.settings);
      const { wanted, tied, unanswered } = wantedFrames(facts, findings, limits);
      for (const { rule, joint, why } of unanswered)
        left.push({ rule, place: paths[joint] ?? rig.name, why });
      for (const [joint, partner] of tied) partners.set(nodes[joint] ?? -1, nodes[partner] ?? -1);
      for (const [joint, { frame, finding }] of wanted) {
        const present = frames(facts)[joint];
        const angle = present === undefined ? 0 : frameAngle(present, frame);
        // A segment is found as a whole, whichever of its joints are right.
        if (present === undefined || angle < NOTHING) continue;
        const node = nodes[joint] ?? -1;
        planned.set(node, {
          rule: finding.rule,
          place: paths[joint] ?? '',
          before: `frame ${angleWords(angle)} off`,
          after: conventionWords(facts, joint),
        });
        if (mirrors(facts, joint)) staying.set(node, WHY_MIRRORED);
        else turned.set(node, turnAlone(turnBetween(present, frame)));
      }
    }
    for (let open = true; open; ) {
      for (const [node, why] of takeOutHindered(ground, turned)) staying.set(node, why);
      const alone = [...staying.keys()].filter((node) => turned.delete(partners.get(node) ?? -1));
      for (const node of alone)
        staying.set(partners.get(node) ?? -1, `its partner ${ground.say(node)} ${WHY_TIED}`);
      open = alone.length > 0;
    }
    for (const [node, why] of staying) {
      const { rule, place } = planned.get(node) ?? {};
      if (rule !== undefined && place !== undefined) left.push({ rule, place, why });
      planned.delete(node);
    }
    return carryOut(ground, { frames: turned }, { changes: [...planned.values()], left });
  },
};

/** A smaller turn is rounding. Degrees. */
const NOTHING = 1e-4;

const WHY_TIED = 'stays as it is, and the two joints of a pair are turned together or not at all';

function conventionWords(facts: Facts, joint: number): string {
  const aim = aimAxisOf(facts, joint);
  const { up } = conventions(facts);
  return aim === null || up === null
    ? "its parent's frame"
    : `aim ${axisName(aim)}, up ${axisName(up)}`;
}
