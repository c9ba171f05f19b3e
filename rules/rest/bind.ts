import { type Finding, jointPlaces, judged, notApplicable } from '../../src/kit/finding.js';
import { MEANT_POSE } from '../../src/kit/meant-words.js';
import { rule } from '../../src/kit/rule.js';
import type { Facts } from '../../src/measure/facts.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { bindPose } from '../../src/measure/pose/bind-pose.js';
import { type PosedJoint, tornJoints } from '../../src/measure/pose/posed-joints.js';
import { restAgainstBind } from '../../src/measure/pose/rest-against-bind.js';
import { storedAs } from '../../src/measure/pose/stored-as.js';
import { unboundScales } from '../../src/measure/pose/unbound-scale.js';
import { skinMass } from '../../src/measure/skin/skin-mass.js';
import { against, limit, point } from '../parts.js';
import { type BindDetails, bindWords, type PoseLimits } from './bind-words.js';

/** Going back to default must show the pose the character was built in. */
export const restBind = rule({
  id: 'rest.bind',
  level: 'error',
  milder: 'warning',
  title: 'the stored pose is not the bind pose',
  why: 'A reset of the rig should give the pose in which it was built and painted. When the rig is stored in another pose, nobody can get back to that pose. Joints that were moved or scaled by accident stay so.',
  formula:
    'The largest displacement of a skinned vertex between the stored pose and the bind pose, |sum w M p - M_ref p| with M = joint world matrix x inverse bind matrix, relative to size. Each skin is compared with its own bind pose. Without a mesh, the joints are compared. The finding is a warning where joints are only turned, or where a clip contains the pose: the clip must key a third of the posed joints or more, and come within the limit, or within 3 % of the displacement, at a key or between keys. The finding is an error where the place or scale of a joint that moves skin, relative to its parent, differs from the bind pose and no clip does that. It is also an error where a topmost joint has a scale that it did not have when the mesh was bound.',
  remedy: `Set the rig to its bind pose before export. ${MEANT_POSE}`,
  source: 'glTF 2.0, 3.7.3 Skins (the skinning matrices); that rest is bind: common practice',
  limits: {
    shift: limit(
      0.1,
      '% of size',
      'displacement of a vertex by the stored pose: a warning from here',
    ),
    torn: limit(
      1,
      '% of size',
      'place of a joint relative to its parent, compared with the bind pose: an error from here',
    ),
    scale: limit(5, '%', 'scale of a joint compared with the bind pose: an error from here'),
  },
  // A joint that is scaled unequally or mirrored as stored is off its bind pose by just that.
  yieldsTo: [{ to: ['scale.nonuniform', 'scale.negative'], on: 'each' }],
  check(facts, limits) {
    if (facts.wanted.rest === 'posed')
      return notApplicable(
        'the standard says that rigs are delivered in another pose than they were bound in',
      );
    if (!(size(facts) > 0)) return notApplicable('the rig has no size to compare with');
    const { looked } = restAgainstBind(facts);
    const pose = judgePose(facts, limits);
    const findings = [...(pose === null ? [] : [pose]), ...judgeTops(facts, limits.scale, looked)];
    return judged('joints', looked, findings, pose?.counts?.short ?? findings.length);
  },
  say: bindWords,
});

function judgePose(facts: Facts, limits: PoseLimits): Finding<BindDetails> | null {
  const extent = size(facts);
  const { shift, joint, looked, shiftOfJoint } = restAgainstBind(facts);
  const measured = (100 * shift) / extent;
  if (!(measured > limits.shift)) return null;
  const away = (limits.shift / 100) * extent;
  const { posed, moment } = storedAs(facts, away);
  const torn = tornJoints(facts, posed, {
    away: (limits.torn / 100) * extent,
    scale: limits.scale / 100,
  });
  torn.sort((a, b) => Math.max(b.moved / extent, b.scaled) - Math.max(a.moved / extent, a.scaled));
  const short = Math.max(1, shiftOfJoint.filter((value) => value > away).length);
  const joints = posed.map((pose) => pose.joint);
  const measures = joints.map((at) => (100 * (shiftOfJoint[at] ?? 0)) / extent);
  // Where the pose begins is where a rigger has to go; where it shows most is only in the words.
  const first = (moment === null ? torn[0]?.joint : undefined) ?? joints[0] ?? joint;
  const at = bindPose(facts).places[joint];
  const isScaledAlone = posed.length > 0 && posed.every(({ paths }) => paths.join() === 'scale');
  return {
    level: moment === null && torn.length > 0 ? 'error' : 'warning',
    place: first === -1 ? { kind: 'rig' } : { kind: 'joint', joint: first },
    ...(joints.length > 0 && { places: jointPlaces(joints), measures }),
    anchor: { kind: 'rig' },
    ...against(measured, limits.shift, '% of size'),
    joints,
    ...(isScaledAlone && { covers: ['scale.unit'] }),
    counts: { looked, short: Math.min(looked, short) },
    evidence: at === undefined ? [] : [point('bind place', at)],
    details: {
      kind: 'pose',
      joint,
      posed: joints,
      turned: onlyTurned(posed),
      torn,
      isMoved: 100 * (torn[0]?.moved ?? 0) > limits.torn * extent,
      limits,
      moment,
      hasMesh: skinMass(facts).hasMesh,
    },
  };
}

/** How the one posed joint is turned, where it is turned and no more. */
function onlyTurned([first, ...others]: readonly PosedJoint[]): PosedJoint['turned'] {
  const isAlone = first !== undefined && others.length === 0 && first.paths.join() === 'rotation';
  return isAlone ? first.turned : null;
}

/** Scales of topmost joints that were not there when bound, `percent` or more from 1. */
function judgeTops(facts: Facts, percent: number, looked: number): Finding<BindDetails>[] {
  return unboundScales(facts, percent / 100).map((top) => ({
    level: top.clip === null ? 'error' : 'warning',
    place: { kind: 'joint', joint: top.joint },
    aspect: 'scale',
    ...against(100 * Math.abs(top.scale - 1), percent, '%'),
    covers: ['scale.unit'],
    counts: { looked: Math.max(1, looked), short: 1 },
    details: { kind: 'scale', ...top },
  }));
}
