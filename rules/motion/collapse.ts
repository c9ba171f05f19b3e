import { findingsOf, judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { BEND_DEGREES, bendLab } from '../../src/measure/bend/bend-lab.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, arrow, limit, point } from '../parts.js';

/** A limb that folds flat where it bends looks broken on stage, and no pose can mend it. */
export const motionCollapse = rule({
  id: 'motion.collapse',
  level: 'note',
  onRequest: true,
  title: 'volume lost near a joint when it bends 60°',
  why: 'Where two joints move the same skin, it is placed on a straight line between the two places where each would put it. Where the weights or the place of the joint do not suit the form, a bend flattens the skin like a hose.',
  formula:
    'In the bind pose, each joint that moves skin and hangs on another such joint is turned, with all below it, by ±60° about its up and side axes. The triangles that change their shape are closed to a solid where the skin continues without a bend. The measure is the signed volume of that solid after the bend, compared with before, in the worst direction. (A limb that is blended evenly about a joint in its middle loses 8.3 %.)',
  remedy:
    'Smooth or widen the weights around the joint, or move the joint to the middle of the form.',
  // The joints of a limb that is laid backwards, or painted one joint too far, do not lie where its
  // skin bends.
  yieldsTo: [{ to: ['chain.direction', 'skin.shift'], on: 'joints' }],
  source: 'common practice; the loss itself follows from the skinning of glTF 2.0 (3.7.3 Skins)',
  limits: { volume: limit(35, '%', 'volume lost around a joint in its worst bend') },
  check(facts, limits) {
    if (!skinMass(facts).hasMesh) return notApplicable('the rig moves no mesh');
    const lab = bendLab(facts);
    if (lab.tooMany)
      return notApplicable(
        'the weights of one joint spread over too many others to bend the joints one by one',
      );
    if (lab.joints.length === 0)
      return notApplicable(
        lab.rigid > 0
          ? 'no skin changes its shape when a joint turns: each piece hangs on one joint'
          : 'no joint that moves skin hangs on another one',
      );
    const solid = lab.joints.filter(({ worst }) => worst.volumeKept !== null);
    if (solid.length === 0)
      return notApplicable('around no joint does the skin form a closed solid that has a volume');
    const findings = findingsOf(solid, ({ joint, worst, triangles }) => {
      const lost = 100 * (1 - (worst.volumeKept ?? 1));
      if (lost <= limits.volume) return null;
      const at = bindPose(facts).places[joint] ?? [0, 0, 0];
      return {
        level: 'note',
        place: { kind: 'joint', joint },
        ...against(lost, limits.volume, '%'),
        evidence: [point('joint', at), arrow(`bend axis (${worst.axis})`, at, worst.about)],
        details: { joint, worst, triangles },
      };
    });
    return judged('joints', solid.length, findings);
  },
  say({ details: { joint, worst, triangles }, measured, limit }, words) {
    const lost =
      measured > 100
        ? `is turned inside out: it loses ${words.percent(measured)} of its volume`
        : `loses ${words.percent(measured)} of its volume`;
    const inverted =
      worst.inverted === 0
        ? 'no triangle turns'
        : `${worst.inverted} of ${words.count(triangles, 'triangle')} ${worst.inverted === 1 ? 'turns' : 'turn'}`;
    const letter = words.axis(worst.local);
    const name = `${worst.sign > 0 ? '+' : '-'}${worst.axis}`;
    return {
      message: `Bent ${BEND_DEGREES}° about ${name === letter ? letter : `${name} (${letter})`}, the skin around ${words.joint(joint)} ${lost} (limit ${words.percent(limit ?? 0)}); ${inverted} inside out, and the longest stretch of an edge is ${words.number(worst.stretch)} times its length.`,
      remedy: `Smooth or widen the weights around ${words.joint(joint)}, or move the joint to the middle of the form.`,
    };
  },
});
