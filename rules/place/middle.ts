import { atJoint, type Finding, findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { gatherTwins, type OfJoint, type WithTwin } from '../../src/kit/gather-twins.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { crossSection } from '../../src/measure/geometry/cross-section.js';
import { nearOpenBorder } from '../../src/measure/geometry/inside.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { innerJoints } from '../../src/measure/skeleton/inside-limb.js';
import { rigidJoints } from '../../src/measure/skin/rigid-skin.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, line, point } from '../parts.js';

/** In world units. */
type OffMiddle = OfJoint & { readonly off: number; readonly radius: number };

/** So far off the middle of a section, the section is not the joint's. Percent of its mean radius. */
const FOREIGN = 300;

/** A limb keeps its girth when it bends about its middle. */
export const placeMiddle = rule({
  id: 'place.middle',
  level: 'note',
  title: 'a joint away from the middle of its cross-section',
  why: 'A limb that bends about its middle keeps its thickness: one side folds as much as the other stretches. A limb that bends about a place near the skin gets thin or bulges on the far side.',
  formula:
    'The bind-posed mesh is cut by a plane through the joint, across the mean direction of its bones. The measure is the distance from the joint to the area centroid of that cut, relative to the mean distance of the outline from the centroid. The outline must be closed, and the joint must have a share in its weights. Left out are end joints, joints where a limb, an ear or a tuft of hair leaves the body, fans of fingers, joints that branch, and joints whose vertices all hang on them alone, as on a hard piece. Twins give one finding.',
  remedy: 'Move the joint towards the middle of the form, unless the form bends at its skin.',
  source: 'common practice',
  limits: {
    middle: limit(
      60,
      '%',
      'distance of a joint from the middle, relative to the mean radius there',
    ),
  },
  yieldsTo: [{ to: ['place.inside'], on: 'joints' }],
  check(facts, limits) {
    const { hasMesh } = skinMass(facts);
    if (!hasMesh || !(size(facts) > 0)) return notApplicable('the rig moves no mesh');
    const sections = innerJoints(facts).flatMap((joint) => {
      const place = bindPose(facts).places[joint];
      const section = place && crossSection(facts, joint);
      return place && section ? [{ joint, place, section }] : [];
    });
    if (sections.length === 0)
      return notApplicable('no inner joint that moves skin has a closed cross-section of its own');
    const findings = findingsOf(sections, (inner): Finding<WithTwin<OffMiddle>> | null => {
      const { joint, place, section } = inner;
      const { off, radius, centre, encloses } = section;
      const percent = (100 * off) / radius;
      // Far outside a small section, another piece is cut than the joint's form.
      if (percent <= limits.middle || percent > FOREIGN) return null;
      // Where the mesh stops, the joint may be in the gap: the cut is not through its form.
      if (!encloses && nearOpenBorder(facts, place)) return null;
      // A hard piece turns about its hinge, wherever that is.
      if (rigidJoints(facts)[joint] === 1) return null;
      return {
        ...atJoint(joint),
        level: 'note',
        ...against(percent, limits.middle, '%'),
        evidence: [
          point('joint', place),
          point('middle', centre),
          // Cut when it is asked for, which few sections are.
          line('cross-section', section.outline),
        ],
        details: { worst: { joint, off, radius }, twin: null },
      };
    });
    return judged('joints', sections.length, findings);
  },
  gather: gatherTwins,
  say({ details: { worst, twin }, measured, limit }, words) {
    const also = twin === null ? '' : `, and so does ${words.joint(twin.joint)}`;
    return {
      message: `${words.joint(worst.joint)} lies ${words.percent(measured)} of the mean radius (limit ${words.percent(limit ?? 0)}) off the middle of its cross-section, which is ${words.length(worst.off)}${also}.`,
      remedy: `Move ${twin === null ? 'it' : 'both'} towards the middle of the form, unless the form bends at its skin.`,
    };
  },
});
