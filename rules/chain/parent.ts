import { atJoint, type Finding, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherRig, type WithOthers } from '../../src/kit/gather-twins.js';
import { homeWords } from '../../src/kit/home-words.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { type WrongParent, wrongParents } from '../../src/measure/skeleton/wrong-parent.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import type { Vec3 } from '../../src/rig/vec3.js';

/** A limb follows the part of the body that it grows from. */
export const chainParent = rule({
  id: 'chain.parent',
  level: 'error',
  milder: 'warning',
  title: 'a limb hung on another joint than the one its flesh grows from',
  why: 'When the hips move, thighs that hang on the ground root stay behind, and the skin between them tears. Every clip must then key both alike.',
  formula:
    'A skin-moving joint whose flesh adjoins that of a joint of another branch than its parent: an edge of the mesh joins vertices that the two move most (or, for a limb that is a piece of mesh of its own, its first joint stands within 10 % of size of the bones of that joint). Told is a limb of a pair over 20 % of size from a parent without flesh at or above it, or any branch over 10 % of size from a parent whose flesh adjoins none of it, three bones or more from the right one; more than twice as far as the bones of that one (1.5 times where both have flesh): an error. What hangs beside the body on the joint that carries it, such as feet driven from the ground, is a warning. One finding a rig.',
  remedy: 'Hang the limb on the joint that its flesh grows from, keeping its place.',
  source: 'common practice',
  limits: {
    joints: { default: 0, unit: 'joints', tells: 'joints hung on another than their flesh has it' },
  },
  yieldsTo: [{ to: ['chain.direction'], on: 'joints' }],
  check(facts, limits) {
    if (!skinMass(facts).hasMesh) return notApplicable('the rig moves no mesh');
    const wrong = wrongParents(facts);
    const told = wrong.length > limits.joints ? wrong : [];
    const findings = told.map((item) => tell(facts, item, limits.joints));
    return judged('joints', facts.rig.joints.count, findings);
  },
  gather: (_, findings) => gatherRig(findings),
  say(finding, words) {
    const { worst, others } = finding.details;
    const { joint, parent, right } = worst;
    const all = [worst, ...others];
    const also =
      others.length === 0 ? '' : `; ${words.joints(others.map((item) => item.joint))} likewise`;
    const homes = all.map((item) => ({ joint: item.joint, parent: item.right }));
    return {
      message: `${words.joint(joint)} hangs on ${words.joint(parent)}, ${words.length(worst.toParent)} away, but its flesh grows from ${words.joint(right)}, ${words.length(worst.toRight)} away (limit ${words.count(finding.limit ?? 0, 'such joint')})${also}.`,
      remedy: `Hang ${homeWords(homes, all.length, words)}, keeping ${all.length === 1 ? 'its place' : 'their places'}.`,
    };
  },
});

function tell(facts: Facts, wrong: WrongParent, limit: number): Finding<WithOthers<WrongParent>> {
  const { places } = bonePose(facts);
  const place = (joint: number): Vec3 => places[joint] ?? [0, 0, 0];
  return {
    ...atJoint(wrong.joint),
    level: wrong.limb ? 'error' : 'warning',
    measured: 1,
    limit,
    unit: 'joints',
    evidence: [
      { kind: 'line', label: 'hung on', points: [place(wrong.parent), place(wrong.joint)] },
      { kind: 'line', label: 'grows from', points: [place(wrong.right), place(wrong.joint)] },
    ],
    details: { worst: wrong, others: [] },
  };
}
