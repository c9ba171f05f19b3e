import { atJoint, type Finding, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherRig, type WithOthers } from '../../src/kit/gather-twins.js';
import { homeWords } from '../../src/kit/home-words.js';
import { rule } from '../../src/kit/rule.js';
import { bonePose } from '../../src/measure/pose/bone-pose.js';
import { type WrongParent, wrongParents } from '../../src/measure/skeleton/wrong-parent.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import type { Vec3 } from '../../src/rig/vec3.js';
import { against, limit, line, mostWords, sameOf } from '../parts.js';

/** A limb follows the part of the body that it grows from. */
export const chainParent = rule({
  id: 'chain.parent',
  level: 'error',
  milder: 'warning',
  title: 'a limb that hangs on the wrong joint',
  why: 'A limb follows the joint that it hangs on. Thighs on the ground root stay behind when the hips move, shins on the hips when the thighs turn, and the skin between them tears. Every clip then needs the same keys on both.',
  formula:
    'A joint that moves skin, and whose flesh touches that of a joint on another branch than its parent. Flesh touches where an edge of the mesh joins vertices that the two joints move most. For a limb that is a separate piece of mesh, its first joint must be within 10 % of size of the bones of that other joint. The finding is an error in three cases. In one, a limb of a pair is over 20 % of size from its parent, and there is no flesh at the parent or above it. In another, any branch is over 10 % of size from its parent, the flesh of the parent does not touch it, and the parent is three bones or more from the right joint. The parent must also be more than twice as far as the bones of the right joint (1.5 times where both have flesh). A limb can also hang flat on a joint that carries two limbs or more, such as a shin on the hips beside its thigh: the way over the joint that it skips is at most 1.4 times the straight one, and the flesh leads over that joint alone. This is the third case where both are paired, hang side by side, and are over 10 % of size apart; else it gives a warning. A limb that hangs beside the body on the joint that carries it, such as feet that are driven from the ground, gives a warning. Each rig has one finding.',
  remedy: 'Hang the limb on the joint that its flesh grows from. Keep the limb in its place.',
  source: 'common practice',
  limits: { joints: limit(0, 'joints', 'joints that hang on the wrong joint') },
  yieldsTo: [{ to: ['chain.direction'], on: 'joints' }],
  check(facts, limits) {
    if (!skinMass(facts).hasMesh) return notApplicable('the rig moves no mesh');
    const wrong = wrongParents(facts);
    const over = wrong.length > limits.joints ? wrong : [];
    const place = (joint: number): Vec3 => bonePose(facts).places[joint] ?? [0, 0, 0];
    const findings = over.map((worst): Finding<WithOthers<WrongParent>> => {
      const [at, parent, right] = [place(worst.joint), place(worst.parent), place(worst.right)];
      return {
        ...atJoint(worst.joint),
        level: worst.limb ? 'error' : 'warning',
        ...against(1, limits.joints, 'joints'),
        evidence: [line('hung on', [parent, at]), line('grows from', [right, at])],
        details: { worst, others: [] },
      };
    });
    return judged('joints', facts.rig.joints.count, findings);
  },
  gather: (_, findings) => gatherRig(findings),
  say({ details: { worst, others }, limit }, words) {
    const { joint, parent, right, toParent, toRight } = worst;
    const homes = [worst, ...others].map((each) => ({ joint: each.joint, parent: each.right }));
    return {
      message: `${words.joint(joint)} hangs on ${words.joint(parent)}, ${words.length(toParent)} away, but its flesh grows from ${words.joint(right)}, ${words.length(toRight)} away (${mostWords(limit, 'such joints')})${sameOf(others, words)}.`,
      remedy: `Hang ${homeWords(homes, homes.length, words)}, keeping ${homes.length === 1 ? 'its place' : 'their places'}.`,
    };
  },
});
