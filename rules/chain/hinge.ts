import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/bind-mesh.js';
import { bindPose } from '../../src/measure/bind-pose.js';
import { boneDirection, boneLengths } from '../../src/measure/bones.js';
import { segments } from '../../src/measure/chains.js';
import type { Facts } from '../../src/measure/facts.js';
import { pairs } from '../../src/measure/pairs.js';
import { angleBetween } from '../../src/rig/vec3.js';

/** A shorter segment is a finger or an ear, which nobody drives by its end. Share of size. */
const LIMB_SHARE = 0.15;

/** Bones this much longer are longer: rounding does not choose the hinge. */
const ALIKE = 1.001;
/** A limb has a girdle joint, three joints and a foot at most; a longer run is a tail or a tentacle. */
const LIMB_JOINTS = 5;

/** A knee that is built bent tells a solver which way it bends. */
export const chainHinge = rule({
  id: 'chain.hinge',
  level: 'note',
  title: 'a hinge built straight',
  why: 'A solver that places a hand or foot must know which way the elbow or knee bends. Built dead straight, it may go either way.',
  formula:
    'On each paired segment of three to five joints, at least 15 % of size long: the bend, in the bind pose, at the joint between its two longest neighbouring bones.',
  remedy: 'Build the limb with a slight bend at its hinge.',
  source: 'common practice',
  limits: { bend: { default: 1, unit: 'degrees', tells: 'bend of a hinge, at least' } },
  check(facts, limits) {
    const hinges = findHinges(facts);
    if (hinges.length === 0) return notApplicable('the rig has no paired limb of three joints');
    const findings = hinges.flatMap(({ joint, from, to, bend }) => {
      if (bend > limits.bend) return [];
      const place = bindPose(facts).places[joint];
      return [
        {
          level: 'note' as const,
          place: { kind: 'joint' as const, joint },
          measured: bend,
          limit: limits.bend,
          unit: 'degrees' as const,
          evidence:
            place === undefined ? [] : [{ kind: 'point' as const, label: 'hinge', at: place }],
          details: { joint, from, to },
        },
      ];
    });
    return judged('joints', hinges.length, findings);
  },
  say(finding, words) {
    const { joint, from, to } = finding.details;
    return {
      message: `The limb ${words.joint(from)}, ${words.joint(joint)}, ${words.joint(to)} is built straight: it bends by ${words.degrees(finding.measured)} at ${words.joint(joint)} (at least ${words.degrees(finding.limit ?? 0)} expected).`,
      remedy: `Move ${words.joint(joint)} a little to the outside of the bend before binding.`,
    };
  },
});

interface Hinge {
  readonly from: number;
  readonly joint: number;
  readonly to: number;
  readonly bend: number;
}

function findHinges(facts: Facts): Hinge[] {
  const { partner } = pairs(facts);
  const lengths = boneLengths(facts);
  return segments(facts).flatMap((segment) => {
    const paired = segment.filter((joint) => partner[joint] !== -1);
    const total = paired.slice(1).reduce((sum, joint) => sum + (lengths[joint] ?? 0), 0);
    if (paired.length < 3 || paired.length > LIMB_JOINTS || total < LIMB_SHARE * size(facts))
      return [];
    let best: Hinge | null = null;
    let longest = 0;
    for (let place = 1; place + 1 < paired.length; place++) {
      const [from, joint, to] = [
        paired[place - 1] ?? -1,
        paired[place] ?? -1,
        paired[place + 1] ?? -1,
      ];
      const both = (lengths[joint] ?? 0) + (lengths[to] ?? 0);
      const [before, after] = [boneDirection(facts, from, joint), boneDirection(facts, joint, to)];
      if (both <= longest * ALIKE || before === null || after === null) continue;
      longest = both;
      best = { from, joint, to, bend: angleBetween(before, after) };
    }
    return best === null ? [] : [best];
  });
}
