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
  title: 'a limb that hangs on the wrong joint',
  why: 'When the hips move, thighs that hang on the ground root stay behind, and the skin between them tears. Every clip must then key both in the same way.',
  formula:
    'A joint that moves skin, and whose flesh touches that of a joint on another branch than its parent. Flesh touches where an edge of the mesh joins vertices that the two joints move most. For a limb that is a separate piece of mesh, its first joint must be within 10 % of size of the bones of that other joint. The finding is an error in two cases. In one, a limb of a pair is over 20 % of size from its parent, and there is no flesh at the parent or above it. In the other, any branch is over 10 % of size from its parent, the flesh of the parent does not touch it, and the parent is three bones or more from the right joint. The parent must also be more than twice as far as the bones of the right joint (1.5 times where both have flesh). A limb that hangs beside the body on the joint that carries it, such as feet that are driven from the ground, gives a warning. Each rig has one finding.',
  remedy: 'Hang the limb on the joint that its flesh grows from. Keep the limb in its place.',
  source: 'common practice',
  limits: {
    joints: { default: 0, unit: 'joints', tells: 'joints that hang on the wrong joint' },
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
      others.length === 0
        ? ''
        : `; the same is true of ${words.joints(others.map((item) => item.joint))}`;
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
