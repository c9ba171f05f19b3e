import { atJoint, type Finding, findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherTwins, type OfJoint, type WithTwin } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { jointsInside, nearOpenBorder } from '../../src/measure/geometry/inside.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { isSmallShare } from '../../src/measure/skin/remnants.js';
import { rigidJoints } from '../../src/measure/skin/rigid-skin.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, line, point } from '../parts.js';

/** A joint turns the form about a place within it: outside, the skin swings instead of bending. */
export const placeInside = rule({
  id: 'place.inside',
  level: 'warning',
  title: 'a joint outside the mesh',
  why: 'A limb bends about its joint. With the joint outside the form, the skin swings about a place in the air. It stretches on one side, folds on the other and slides away from what it should cover.',
  formula:
    'The generalised winding number of the bind-posed mesh at each joint that moves skin and is not an end joint. A joint is inside when the number is over 0.5. For a joint outside, the measure is the distance to the surface, relative to size. Three kinds of joints are left out: those within 10 % of size of an open border of the mesh, those whose vertices all hang on them alone, as on a hard piece, and those with under 0.5 % of the skin and no weight above 0.7. Twins give one finding.',
  remedy: 'Move the joint into the form, to where the form bends. Do not move the mesh.',
  source:
    'Jacobson, Kavan and Sorkine-Hornung, "Robust inside-outside segmentation using generalized winding numbers", 2013, for the measure; common practice for the limit',
  limits: {
    outside: limit(2, '% of size', 'distance from the surface of a joint that lies outside'),
  },
  check(facts, limits) {
    const { joints, because } = jointsInside(facts);
    if (because !== null) return notApplicable(because);
    const extent = size(facts);
    const { ofJoint, topWeight, total } = skinMass(facts);
    const findings = findingsOf(joints, ({ joint, surface }): Finding<WithTwin<OfJoint>> | null => {
      const place = bindPose(facts).places[joint];
      if (surface === null || place === undefined) return null;
      const percent = (100 * surface.distance) / extent;
      if (percent <= limits.outside || nearOpenBorder(facts, place)) return null;
      // A hard piece swings about any place, and what was left on a joint by accident bends about none.
      if (rigidJoints(facts)[joint] === 1) return null;
      if (isSmallShare(ofJoint[joint] ?? 0, topWeight[joint] ?? 0, total)) return null;
      const { at } = surface;
      return {
        ...atJoint(joint),
        level: 'warning',
        ...against(percent, limits.outside, '% of size'),
        evidence: [
          point('joint', place),
          point('nearest surface', at),
          line('distance', [place, at]),
        ],
        details: { worst: { joint }, twin: null },
      };
    });
    return judged('joints', joints.length, findings);
  },
  gather: gatherTwins,
  say({ details: { worst, twin }, measured, limit }, words) {
    const also = twin === null ? '' : `, and so does ${words.joint(twin.joint)}`;
    return {
      message: `${words.joint(worst.joint)} lies outside the mesh, ${words.ofSize(measured)} off its surface${also} (limit ${limit} %).`,
      remedy:
        twin === null
          ? 'Move it into the form, to where the form bends. Do not move the mesh.'
          : 'Move both into the form, to where it bends. Do not move the mesh.',
    };
  },
});
