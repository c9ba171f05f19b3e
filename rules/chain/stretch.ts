import {
  atJoints,
  findingsOf,
  judged,
  notApplicable,
  worstFinding,
} from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { type Stretch, stretches } from '../../src/measure/pose/stretch.js';
import { isInsideLimb } from '../../src/measure/skeleton/inside-limb.js';
import { pairs } from '../../src/measure/skeleton/pairs.js';
import { against, limit } from '../parts.js';

/** The worst bone, all that stretch, and in how many clips they do. */
interface Details {
  readonly worst: Stretch;
  readonly joints: readonly number[];
  readonly clips: number;
}

/** Bones turn; they do not stretch. */
export const chainStretch = rule({
  id: 'chain.stretch',
  level: 'error',
  milder: 'warning',
  title: 'a clip that moves a joint away from its place',
  why: 'A bone that changes its length pulls the skin along, and the clip fits no other character. Most such keys were set by accident.',
  formula:
    'The length of each bone at every key of every clip and between keys, compared with its length in the bind pose. The change is relative to that length, or to 2 % of size where that is larger. Bones to spacers are measured, too. Only joints that move skin below the body root are measured. Joints that may travel are left out: joints that hang on a carrier, rigid pieces on rigid pieces, and eyes. Inside a paired limb, a change of half a bone or more is an error. Each rig has one finding, at the bone that stretches most.',
  remedy: 'Remove the translation keys of the joint. Let only the body root and carriers travel.',
  source: 'common practice',
  limits: {
    stretch: limit(2, '% of bone', 'change of bone length: a warning from here'),
    error: limit(50, '% of bone', 'change of bone length inside a paired limb: an error from here'),
  },
  check(facts, limits) {
    if (facts.rig.clips.length === 0)
      return notApplicable('the asset has no clip that poses the rig');
    const { watched, list } = stretches(facts);
    const findings = findingsOf(list, (worst) => {
      const { joint, percent, byClip } = worst;
      if (percent <= limits.stretch) return null;
      const serious = percent >= limits.error && isWithinLimb(facts, joint);
      const clips = [...byClip.values()].filter((most) => most > limits.stretch).length;
      const details: Details = { worst, joints: [joint], clips };
      return {
        level: serious ? 'error' : 'warning',
        place: { kind: 'joint', joint },
        ...against(percent, serious ? limits.error : limits.stretch, '% of bone'),
        details,
      };
    });
    return judged('joints', watched, findings);
  },
  gather(_, findings) {
    const top = worstFinding(findings);
    if (top === undefined) return [];
    const { worst } = top.details;
    const joints = findings.flatMap(({ details }) => details.joints);
    const least = findings.reduce((low, { limit }) => Math.min(low, limit ?? 0), Infinity);
    const keyed = findings.flatMap(({ details }) => [...details.worst.byClip]);
    const over = keyed.filter(([, percent]) => percent > least);
    const clips = new Set(over.map(([clip]) => clip)).size;
    const finding = {
      ...top,
      ...atJoints(joints, worst.joint),
      measures: findings.map(({ measured }) => measured),
      details: { worst, joints, clips },
    };
    return [{ finding, from: findings }];
  },
  say({ details: { worst, joints, clips }, measured, limit }, words) {
    const { joint, clip, time, built, stretched } = worst;
    const verb = stretched > built ? 'stretches' : 'shortens';
    const others = joints.filter((other) => other !== joint);
    const all =
      others.length === 0
        ? ''
        : ` In all, ${words.count(joints.length, 'bone')} change in ${words.count(clips, 'clip')}: the bones to ${words.joints([joint, ...others])}.`;
    return {
      message: `The clip "${clip}" ${verb} the bone to ${words.joint(joint)} from ${words.length(built)} to ${words.length(stretched)} at ${words.number(time)} s, ${words.percent(measured)} (limit ${limit} %).${all}`,
      remedy: `Remove the translation keys of ${others.length === 0 ? words.joint(joint) : 'these joints'}. If a joint is meant to travel by itself, hang it on the joint that its flesh belongs to.`,
    };
  },
});

/** Whether the bone to a joint lies within a limb that has a partner on the other side. */
function isWithinLimb(facts: Facts, joint: number): boolean {
  const { partner } = pairs(facts);
  const parent = facts.rig.joints.parent[joint] ?? -1;
  if (parent === -1 || partner[joint] === -1 || partner[parent] === -1) return false;
  return isInsideLimb(facts, parent, joint);
}
