import { findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { midline } from '../../src/measure/geometry/midline.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { hasSkinOnItsSide, middleJoints } from '../../src/measure/skeleton/middle-joints.js';
import { against, limit, line } from '../parts.js';

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
  limits: { distance: limit(1, '% of size', 'distance of an unpaired joint from the midline') },
  check(facts, limits) {
    const half = midline(facts);
    if (!half.symmetric) return notApplicable('the mesh is not symmetric about its middle');
    const middle = middleJoints(facts);
    if (middle.length === 0) return notApplicable('no unpaired joint moves skin');
    const findings = findingsOf(middle, (joint) => {
      const place = bindPose(facts).places[joint] ?? [half.x, 0, 0];
      const [x, y, z] = place;
      const percent = (100 * Math.abs(x - half.x)) / size(facts);
      if (!(percent > limits.distance) || hasSkinOnItsSide(facts, joint)) return null;
      return {
        level: 'warning',
        place: { kind: 'joint', joint },
        ...against(percent, limits.distance, '% of size'),
        evidence: [line('off the midline', [place, [half.x, y, z]])],
        details: { joint, off: x - half.x },
      };
    });
    return judged('joints', middle.length, findings);
  },
  say: ({ details: { joint, off }, measured, limit }, words) => ({
    message: `${words.joint(joint)} has no partner but stands ${words.ofSize(measured)} off the midline towards ${off > 0 ? '+X' : '-X'} (limit ${limit} %).`,
    remedy: `Move it by ${words.number(-off)} along X onto the midline, or pair it if it has a partner on the other side.`,
  }),
});
