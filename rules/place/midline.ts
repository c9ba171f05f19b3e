import { findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { midline } from '../../src/measure/geometry/midline.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { hasSkinOnItsSide, middleJoints } from '../../src/measure/skeleton/middle-joints.js';
import type { Vec3 } from '../../src/rig/vec3.js';

/** The spine of a symmetric body runs down its middle. */
export const placeMidline = rule({
  id: 'place.midline',
  level: 'warning',
  title: 'an unpaired joint away from the midline',
  why: 'A spine away from the middle bends the body to one side with every nod, and the limbs that hang on it no longer mirror each other.',
  formula:
    'The distance in the bind pose between a joint and the plane that halves the mesh, relative to size. It is measured only on a mesh that is symmetric about that plane, and for these joints: joints that move skin, themselves or below, that have no partner, no side in their name, and no joint with a side above them; and joints that the asset maps to the middle of a human body (VRM). Carriers are left out. So are joints whose skin, at and below them, lies to the same side at least half as far, such as a lamp on one hip.',
  remedy: 'Move the joint onto the midline, or pair it if it has a partner on the other side.',
  source: 'common practice',
  limits: {
    distance: {
      default: 1,
      unit: '% of size',
      tells: 'distance of an unpaired joint from the midline',
    },
  },
  check(facts, limits) {
    const half = midline(facts);
    if (!half.symmetric) return notApplicable('the mesh is not symmetric about its middle');
    const { places } = bindPose(facts);
    const judgedJoints = middleJoints(facts);
    if (judgedJoints.length === 0) return notApplicable('no unpaired joint moves skin');
    const findings = findingsOf(judgedJoints, (joint) => {
      const [x, y, z] = places[joint] ?? [half.x, 0, 0];
      const percent = (100 * Math.abs(x - half.x)) / size(facts);
      if (!(percent > limits.distance) || hasSkinOnItsSide(facts, joint)) return null;
      const points: Vec3[] = [
        [x, y, z],
        [half.x, y, z],
      ];
      return {
        level: 'warning',
        place: { kind: 'joint', joint },
        measured: percent,
        limit: limits.distance,
        unit: '% of size',
        evidence: [{ kind: 'line', label: 'off the midline', points }],
        details: { joint, off: x - half.x },
      };
    });
    return judged('joints', judgedJoints.length, findings);
  },
  say(finding, words) {
    const { joint, off } = finding.details;
    return {
      message: `${words.joint(joint)} has no partner but stands ${words.ofSize(finding.measured)} off the midline towards ${off > 0 ? '+X' : '-X'} (limit ${finding.limit} %).`,
      remedy: `Move it by ${words.number(-off)} along X onto the midline, or pair it if it has a partner on the other side.`,
    };
  },
});
