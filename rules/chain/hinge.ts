import { atJoint, type Finding, findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherTwins, type WithTwin } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { boneLengths } from '../../src/measure/skeleton/bones.js';
import { segments } from '../../src/measure/skeleton/chains.js';
import { pairs } from '../../src/measure/skeleton/pairs.js';
import { angleBetween, length, subtract, type Vec3 } from '../../src/rig/vec3.js';
import { against, limit, point } from '../parts.js';

/** A shorter segment is a finger or an ear, which nobody drives by its end. Share of size. */
const LIMB_SHARE = 0.15;
/** Bones this much longer are longer: rounding does not choose the hinge. */
const ALIKE = 1.001;
/** A limb has a girdle joint, three joints and a foot at most; a longer run is a tail or a tentacle. */
const LIMB_JOINTS = 5;
/** The two bones of a knee are about as long as each other: the shorter at least this share of the longer. */
const KNEE_SHARE = 0.4;

/** A knee that is built bent tells a solver which way it bends. */
export const chainHinge = rule({
  id: 'chain.hinge',
  level: 'note',
  title: 'a hinge built straight',
  why: 'A solver that places a hand or foot must know which way the elbow or knee bends. A limb that was built straight may bend either way.',
  formula:
    'The bend in the bind pose at the hinge, which is the joint between the two longest neighbouring bones. This is measured on each paired segment of three to five joints that is at least 15 % of size long. A straight joint that only splits a bone in two, to spread a twist, is not a hinge. Left and right give one finding.',
  remedy: 'Build the limb with a slight bend at its hinge.',
  source: 'common practice',
  limits: { bend: limit(1, 'degrees', 'smallest bend of a hinge') },
  check(facts, limits) {
    const { partner } = pairs(facts);
    const lengths = boneLengths(facts);
    const hinges = segments(facts).flatMap((segment) => {
      const paired = segment.filter((joint) => partner[joint] !== -1);
      const total = paired.slice(1).reduce((sum, joint) => sum + (lengths[joint] ?? 0), 0);
      if (paired.length < 3 || paired.length > LIMB_JOINTS || total < LIMB_SHARE * size(facts))
        return [];
      return hingeOf(facts, paired, limits.bend) ?? [];
    });
    if (hinges.length === 0) return notApplicable('the rig has no paired limb of three joints');
    const findings = findingsOf(hinges, (hinge): Finding<WithTwin<Hinge>> | null => {
      const { joint, bend } = hinge;
      if (bend > limits.bend) return null;
      const at = placeOf(facts, joint);
      return {
        ...atJoint(joint),
        level: 'note',
        ...against(bend, limits.bend, 'degrees'),
        evidence: [point('hinge', at)],
        details: { worst: hinge, twin: null },
      };
    });
    return judged('joints', hinges.length, findings);
  },
  gather: gatherTwins,
  say({ details: { worst, twin }, measured, limit }, words) {
    const [from, to] = [words.joint(worst.from), words.joint(worst.to)];
    const joint = words.joint(worst.joint);
    const also = twin === null ? '' : `; the limb of its twin ${words.joint(twin.joint)} is, too`;
    return {
      message: `The limb ${from}, ${joint}, ${to} is built straight: it bends by ${words.degrees(measured)} at ${joint} (limit: at least ${words.degrees(limit ?? 0)})${also}.`,
      remedy: `Move ${joint} a little to the outside of the bend before binding.`,
    };
  },
});

interface Hinge {
  readonly from: number;
  readonly joint: number;
  readonly to: number;
  readonly bend: number;
  /** Length of the shorter of its two bones beside the longer, 0 to 1. */
  readonly share: number;
}

/**
 * The joint between the two longest neighbouring bones. A straight one may only split a bone in two for
 * its twist: without it, is there another hinge, between bones about as long as each other?
 */
function hingeOf(facts: Facts, run: readonly number[], straight: number): Hinge | null {
  let best: Hinge | null = null;
  let longest = 0;
  for (let place = 1; place + 1 < run.length; place++) {
    const [from = -1, joint = -1, to = -1] = run.slice(place - 1, place + 2);
    const before = subtract(placeOf(facts, joint), placeOf(facts, from));
    const after = subtract(placeOf(facts, to), placeOf(facts, joint));
    const [first, second] = [length(before), length(after)];
    if (first + second <= longest * ALIKE || first === 0 || second === 0) continue;
    longest = first + second;
    const share = Math.min(first, second) / Math.max(first, second);
    best = { from, joint, to, bend: angleBetween(before, after), share };
  }
  if (best === null || best.bend > straight) return best;
  const split = best.joint;
  const unsplit = run.filter((joint) => joint !== split);
  const other = hingeOf(facts, unsplit, straight);
  return other !== null && other.share >= KNEE_SHARE ? other : best;
}

function placeOf(facts: Facts, joint: number): Vec3 {
  return bonePose(facts).places[joint] ?? [0, 0, 0];
}
