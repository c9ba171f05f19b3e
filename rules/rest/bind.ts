import { judged, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/bind-mesh.js';
import { bindPose } from '../../src/measure/bind-pose.js';
import {
  findStoredPose,
  posedJoints,
  restAgainstBind,
} from '../../src/measure/rest-against-bind.js';
import { skinMass } from '../../src/measure/skin-mass.js';

/** Going back to default must show the pose the character was built in. */
export const restBind = rule({
  id: 'rest.bind',
  level: 'error',
  milder: 'warning',
  title: 'the stored pose is not the bind pose',
  why: 'Setting the rig back to default should give the pose it was built and painted in. Stored in another pose, nobody can get back to it.',
  formula:
    'Largest displacement of a skinned vertex between the stored pose and the bind pose, |sum w M p - M_ref p| with M = joint world matrix x inverse bind matrix, relative to size. Without a mesh, the joints are compared. A warning when the stored pose is a sample of a clip.',
  remedy:
    'Set the rig to its bind pose before export, or bind the mesh again in the pose it is in.',
  source: 'glTF 2.0, 3.7.3 Skins (the skinning matrices); that rest is bind: common practice',
  limits: {
    shift: {
      default: 0.1,
      unit: '% of size',
      tells: 'displacement of a vertex by the stored pose',
    },
  },
  // A joint that is scaled or mirrored as stored is off its bind pose by just that.
  yieldsTo: [{ to: ['scale.nonuniform', 'scale.negative', 'scale.unit'], on: 'each' }],
  check(facts, limits) {
    const extent = size(facts);
    if (!(extent > 0)) return notApplicable('the rig has no extent to measure against');
    const { shift, joint, looked, shiftOfJoint } = restAgainstBind(facts);
    const percent = (100 * shift) / extent;
    const short = shiftOfJoint.filter((value) => 100 * value > limits.shift * extent).length;
    const fails = percent > limits.shift;
    const moment = fails ? findStoredPose(facts, (limits.shift / 100) * extent) : null;
    const posed = fails
      ? posedJoints(facts, (limits.shift / 100) * extent).map((item) => item.joint)
      : [];
    // Where the pose begins is where a rigger has to go; where it shows most is only told.
    const first = posed[0] ?? joint;
    const place = bindPose(facts).places[joint];
    const finding = {
      level: moment === null ? ('error' as const) : ('warning' as const),
      place: first === -1 ? { kind: 'rig' as const } : { kind: 'joint' as const, joint: first },
      measured: percent,
      limit: limits.shift,
      unit: '% of size' as const,
      joints: posed,
      counts: { looked, short },
      evidence:
        place === undefined ? [] : [{ kind: 'point' as const, label: 'bind place', at: place }],
      details: { joint, posed, moment, hasMesh: skinMass(facts).hasMesh, looked, short },
    };
    return judged('joints', looked, fails ? [finding] : [], fails ? short : 0);
  },
  say(finding, words) {
    const { joint, posed, moment, hasMesh, looked, short } = finding.details;
    const what = hasMesh ? 'moves the skin' : 'moves joints';
    const at = joint === -1 ? '' : `, farthest at ${words.joint(joint)}`;
    const who = posed.length === 0 ? '' : `; posed: ${words.joints(posed)}`;
    const share = `${short} of ${words.count(looked, 'joint')} shifted${who}`;
    if (moment !== null) {
      return {
        message: `The rig is stored in a pose of the clip "${moment.clip}" (at ${words.number(moment.time)} s), not in its bind pose: it ${what} by up to ${words.ofSize(finding.measured)}${at} (limit ${finding.limit} %; ${share}).`,
        remedy: 'Set the rig to its bind pose before export; the clip keeps the pose.',
      };
    }
    return {
      message: `The stored pose ${what} off the bind pose by up to ${words.ofSize(finding.measured)}${at} (limit ${finding.limit} %; ${share}).`,
      remedy:
        'Set the rig to its bind pose before export, or bind the mesh again in the pose it is in.',
    };
  },
});
