import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/bind-mesh.js';
import { bindPose } from '../../src/measure/bind-pose.js';
import { bodyRoot } from '../../src/measure/body-root.js';
import { crossSection } from '../../src/measure/cross-section.js';
import { nearOpenBorder } from '../../src/measure/inside.js';
import { skinMass } from '../../src/measure/skin-mass.js';

interface Details {
  readonly joint: number;
  /** World units. */
  readonly off: number;
  readonly radius: number;
}

/** A limb keeps its girth when it bends about its middle. */
export const placeMiddle = rule({
  id: 'place.middle',
  level: 'note',
  title: 'a joint off the middle of its cross-section',
  why: 'A limb that bends about its middle keeps its girth: one side folds as much as the other stretches. Bent about a place near the skin, it thins or bulges on the far side.',
  formula:
    'Distance from the joint to the area centroid of the bind-posed mesh, cut by the plane through the joint across the mean direction of its bones, relative to the mean distance of the outline from that centroid. Only where the outline is closed and the joint has a share in its weights; end joints are left out.',
  remedy: 'Move the joint towards the middle of the form, unless the form bends at its skin.',
  source: 'common practice',
  limits: {
    middle: { default: 60, unit: '%', tells: 'joint off the middle, of the mean radius there' },
  },
  yieldsTo: [{ to: ['place.inside'], on: 'joints' }],
  check(facts, limits) {
    const { moves, hasMesh } = skinMass(facts);
    if (!hasMesh || !(size(facts) > 0)) return notApplicable('the rig moves no mesh');
    const carriers = new Set(bodyRoot(facts).carriers);
    const sections = facts.rig.joints.children.flatMap((below, joint) => {
      const place = bindPose(facts).places[joint];
      if (place === undefined || below.length === 0) return [];
      if (moves[joint] === 0 || carriers.has(joint)) return [];
      const section = crossSection(facts, joint);
      return section === null ? [] : [{ joint, place, section }];
    });
    if (sections.length === 0)
      return notApplicable('no inner joint that moves skin has a closed cross-section of its own');
    const findings = sections.flatMap(({ joint, place, section }) => {
      const percent = (100 * section.off) / section.radius;
      if (percent <= limits.middle) return [];
      // Where the mesh stops, the joint may stand in the gap: it is not its middle that is cut.
      if (!section.encloses && nearOpenBorder(facts, place)) return [];
      const details: Details = { joint, off: section.off, radius: section.radius };
      return [
        {
          level: 'note' as const,
          place: { kind: 'joint' as const, joint },
          measured: percent,
          limit: limits.middle,
          unit: '%' as const,
          evidence: [
            { kind: 'point' as const, label: 'joint', at: place },
            { kind: 'point' as const, label: 'middle', at: section.centre },
            { kind: 'line' as const, label: 'cross-section', points: section.outline },
          ],
          details,
        },
      ];
    });
    return judged('joints', sections.length, findings);
  },
  say(finding, words) {
    const { joint, off, radius } = finding.details;
    return {
      message: `${words.joint(joint)} lies ${words.length(off)} off the middle of its cross-section, ${words.percent(finding.measured)} of the mean radius there, ${words.length(radius)} (limit ${words.percent(finding.limit ?? 0)}).`,
      remedy: 'Move it towards the middle of the form, unless the form bends at its skin.',
    };
  },
});
