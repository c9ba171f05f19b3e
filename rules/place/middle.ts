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

interface OffMiddle extends OfJoint {
  /** World units. */
  readonly off: number;
  readonly radius: number;
}

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
    middle: {
      default: 60,
      unit: '%',
      tells: 'distance of a joint from the middle, relative to the mean radius there',
    },
  },
  yieldsTo: [{ to: ['place.inside'], on: 'joints' }],
  check(facts, limits) {
    const { hasMesh } = skinMass(facts);
    if (!hasMesh || !(size(facts) > 0)) return notApplicable('the rig moves no mesh');
    const sections = innerJoints(facts).flatMap((joint) => {
      const place = bindPose(facts).places[joint];
      const section = place === undefined ? null : crossSection(facts, joint);
      return section === null || place === undefined ? [] : [{ joint, place, section }];
    });
    if (sections.length === 0)
      return notApplicable('no inner joint that moves skin has a closed cross-section of its own');
    const findings = findingsOf(sections, (own): Finding<WithTwin<OffMiddle>> | null => {
      const { joint, place, section } = own;
      const { off, radius, centre, encloses } = section;
      const percent = (100 * off) / radius;
      // Far outside of a small section it is another piece that is cut, not the joint's own form.
      if (percent <= limits.middle || percent > FOREIGN) return null;
      // Where the mesh stops, the joint may stand in the gap: it is not its middle that is cut.
      if (!encloses && nearOpenBorder(facts, place)) return null;
      // A hard piece turns about its hinge, wherever that is.
      if (rigidJoints(facts)[joint] === 1) return null;
      return {
        ...atJoint(joint),
        level: 'note',
        measured: percent,
        limit: limits.middle,
        unit: '%',
        evidence: [
          { kind: 'point', label: 'joint', at: place },
          { kind: 'point', label: 'middle', at: centre },
          { kind: 'line', label: 'cross-section', points: section.outline },
        ],
        details: { worst: { joint, off, radius }, twin: null },
      };
    });
    return judged('joints', sections.length, findings);
  },
  gather: gatherTwins,
  say(finding, words) {
    const { worst, twin } = finding.details;
    const { joint, off, radius } = worst;
    const also = twin === null ? '' : `, and so does ${words.joint(twin.joint)}`;
    return {
      message: `${words.joint(joint)} lies ${words.length(off)} off the middle of its cross-section, ${words.percent(finding.measured)} of the mean radius there, ${words.length(radius)}${also} (limit ${words.percent(finding.limit ?? 0)}).`,
      remedy: `Move ${twin === null ? 'it' : 'both'} towards the middle of the form, unless the form bends at its skin.`,
    };
  },
});
