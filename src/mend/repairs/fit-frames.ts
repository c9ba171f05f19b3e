import { limitsOfAll } from '../../check/settings.js';
import { angleWords } from '../../kit/figures.js';
import type { Facts } from '../../measure/facts.js';
import { differences } from '../../measure/fit/differences.js';
import { approvedFacts } from '../../measure/fit/matching.js';
import { conjugate, type Quaternion } from '../../rig/quaternion.js';
import { mirrors, WHY_MIRRORED } from '../frames/frame-algebra.js';
import { carryOut, takeOutHindered } from '../reframe/carry-out.js';
import { Ground } from '../reframe/ground.js';
import type { Frame } from '../reframe/reframing.js';
import { turnAlone } from '../reframe/similarity.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/**
 * Turns the frames of joints to those of the approved rig, so that a key of its clips turns a bone here as
 * it does there; skin, children and own clips stay in place. C is the turn that `fit.frame` measures,
 * turned back. Where one joint of a rig is found, those that are off by less than its limit are turned,
 * too, since a chain adds up what is left; but not in a rig that is bound in another pose, whose bones point
 * elsewhere anyway.
 */
export const fitFrames: Repair = {
  name: 'approved frames',
  tells:
    'Frames are turned to those of the approved rig that `--like` names, so that its clips play. The clips of the file are changed along.',
  rules: ['fit.frame'],
  isBold: true,
  overrules: ['axis.aim', 'axis.uniform', 'axis.up', 'axis.curl', 'axis.end', 'axis.mirror'],
  mend(context: MendContext): Mended {
    const ground = new Ground(context);
    const limit = limitsOfAll(context.settings)('fit.frame', 'warn');
    const frames = new Map<number, Frame>();
    const planned = new Map<number, Change>();
    const left: LeftAlone[] = [];
    for (const rig of context.model.rigs) {
      const findings = context.findings.filter((finding) => finding.rig === rig.index);
      if (findings.length === 0) continue;
      const found = new Set(findings.flatMap(({ places }) => places.map(({ joint }) => joint)));
      const facts = context.facts(rig);
      const { list, along } = differences(facts);
      const isMirrored = handOf(facts);
      for (const { joint, approved, turn, degrees } of list) {
        const isFound = found.has(joint);
        const isSmall = along.size === 0 && degrees > NOTHING && degrees <= limit;
        if (!isFound && !isSmall) continue;
        const place = rig.joints.paths[joint] ?? '';
        const leave = (why: string): void => {
          if (isFound) left.push({ rule: RULE, place, why });
        };
        if (along.has(joint)) leave(WHY_ALONG);
        else if (isMirrored(joint, approved)) leave(WHY_MIRRORED);
        else {
          const node = rig.joints.node[joint] ?? -1;
          const back = conjugate(turn);
          frames.set(node, turnAlone(mirrors(facts, joint) ? inMirror(back) : back));
          const before = `frame ${angleWords(degrees)} off`;
          planned.set(node, { rule: RULE, place, before, after: 'as in the approved rig' });
        }
      }
    }
    for (const [node, why] of takeOutHindered(ground, frames)) {
      const { rule, place } = planned.get(node) ?? {};
      if (rule !== undefined && place !== undefined) left.push({ rule, place, why });
      planned.delete(node);
    }
    return carryOut(ground, { frames }, { changes: [...planned.values()], left });
  },
};

const RULE = 'fit.frame';

/** A smaller turn is rounding. Degrees. */
const NOTHING = 1e-4;

const WHY_ALONG =
  'it is bound in another pose than in the approved rig, with all that hangs on it; bind the mesh again in the pose of the approved rig';

/** Tells whether a joint alone is mirrored against the approved one: where most are, the whole rig is. */
function handOf(facts: Facts): (joint: number, approved: number) => boolean {
  const theirs = approvedFacts(facts);
  const isOpposite = (joint: number, approved: number): boolean =>
    theirs !== null && mirrors(facts, joint) !== mirrors(theirs, approved);
  const { list } = differences(facts);
  const opposite = list.filter(({ joint, approved }) => isOpposite(joint, approved));
  const isWhole = 2 * opposite.length > list.length;
  return (joint, approved) => isOpposite(joint, approved) !== isWhole;
}

/** The same turn in a left-handed frame, which is measured with its X axis the other way round. */
function inMirror([x, y, z, w]: Quaternion): Quaternion {
  return [x, -y, -z, w];
}
