import { atJoints, findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { midline } from '../../src/measure/geometry/midline.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { byLimb, type Pair, pairs } from '../../src/measure/skeleton/pairs.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { distance, type Vec3 } from '../../src/rig/vec3.js';
import { against, limit, line } from '../parts.js';

/** Left and right are placed mirrored, so that what is keyed on one side fits the other. */
export const placePair = rule({
  id: 'place.pair',
  level: 'warning',
  title: 'a pair whose places do not mirror',
  why: 'On a symmetric body, a program mirrors a pose by copying turns. Where left and right joints have different places, the same turns give two different poses.',
  formula:
    'The distance in the bind pose between the right joint and the mirror image of the left one across the plane that halves the mesh, relative to size. It is measured only on a mesh that is symmetric about that plane, and only for pairs that one skin lists both joints of. A limb that is off as a whole gives one finding, at its first pair.',
  remedy:
    'Decide which of the two joints is right, and mirror its place to the other side before you bind the mesh.',
  source: 'common practice',
  limits: {
    distance: limit(1.5, '% of size', 'distance between the right joint and the mirrored left one'),
  },
  check(facts, limits) {
    const half = midline(facts);
    if (!half.symmetric) return notApplicable('the mesh is not symmetric about its middle');
    const { places } = bindPose(facts);
    const { movesBelow } = skinMass(facts);
    const measured = pairs(facts)
      .list.filter(({ left, right }) => movesBelow[left] === 1 && movesBelow[right] === 1)
      .filter((pair) => shareASkin(facts, pair))
      .map((pair) => {
        const [x, y, z] = places[pair.left] ?? [0, 0, 0];
        const mirrored: Vec3 = [2 * half.x - x, y, z];
        const right = places[pair.right] ?? mirrored;
        return { pair, mirrored, right, percent: (100 * distance(mirrored, right)) / size(facts) };
      });
    if (measured.length === 0) return notApplicable('the rig has no pairs that move skin');
    const off = measured.filter(({ percent }) => percent > limits.distance);
    const findings = findingsOf(byLimb(facts, off), ([first, below]) => {
      const { pair, percent, mirrored, right } = first;
      const limb = [first, ...below].flatMap((member) => [member.pair.left, member.pair.right]);
      const joints = limb.sort((a, b) => a - b);
      return {
        ...atJoints(joints, pair.right),
        level: 'warning',
        ...against(percent, limits.distance, '% of size'),
        anchor: { kind: 'joint', joint: joints[0] ?? pair.left },
        counts: { looked: measured.length, short: 1 + below.length },
        evidence: [line('off its mirrored place', [right, mirrored])],
        details: { pair, below: below.length },
      };
    });
    return judged('pairs', measured.length, findings, off.length);
  },
  say({ details: { pair, below }, measured, limit }, words) {
    const more =
      below === 0
        ? ''
        : `; ${words.count(below, 'pair')} below them ${below === 1 ? 'is' : 'are'} off, too`;
    return {
      message: `${words.joint(pair.right)} stands ${words.ofSize(measured)} off the mirrored place of ${words.joint(pair.left)}${more} (limit ${limit} %).`,
      remedy: `Decide which of the two is right, and mirror its place to the other side before you bind the mesh.`,
    };
  },
});

/** Whether one skin lists both: what is bound apart, a glove or a locket, was never meant to mirror. */
function shareASkin(facts: Facts, { left, right }: Pair): boolean {
  return facts.rig.skins.some(
    ({ slotOfJoint }) => slotOfJoint[left] !== -1 && slotOfJoint[right] !== -1,
  );
}
