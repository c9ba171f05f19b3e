import type { LimitOf } from '../kit/rule.js';
import type { Facts } from '../measure/facts.js';
import { carriedClips } from '../measure/fit/clip-carry.js';
import { matching } from '../measure/fit/matching.js';
import { NO_TURN, type Standing, standingOf } from '../measure/fit/whole-turn.js';
import { bonePose } from '../measure/pose/bone-pose.js';
import { bodyRoot } from '../measure/skeleton/body-root.js';
import { decompose, turnDegrees } from '../rig/decompose.js';
import { mat4At, transformPoint } from '../rig/mat4.js';
import { conjugate, multiplyQuaternions, type Quaternion } from '../rig/quaternion.js';
import type { Rig } from '../rig/types.js';
import { straightOnBoth } from './approved-clips.js';
import { jointPlaces, restWorld } from './rest-mesh.js';
import { type Laid, layOnto } from './same-shape.js';
import type { RigScene, SceneApproved } from './scene.js';
import { sceneSkeleton } from './scene-skeleton.js';
import { worstMoments } from './worst-moments.js';

/** With fewer joints in common there is no telling which size and place one has in the other. */
const LEAST_IN_COMMON = 2;

/**
 * The approved rig, laid over the one that is compared with it: as large as it, turned as a whole where
 * it stands otherwise, and with its body root where the answering joint is drawn. Null where the two
 * share too little.
 *
 * @param limitOf What the worst moments of clips are judged by; without it none are looked for.
 */
export function layOver(
  facts: Facts,
  scene: RigScene,
  limitOf: LimitOf | null = null,
): SceneApproved | null {
  const matched = matching(facts);
  if (matched === null || facts.approved === undefined) return null;
  const { approved: rig, ofApproved } = matched;
  const theirs: Facts = { rig, wanted: facts.wanted };
  const held = heldJoint(theirs, ofApproved);
  if (held === null) return null;
  const { places, world } = bonePose(theirs);
  const from = standingOf(places, (joint) => mat4At(world, joint));
  const pairs = [...ofApproved.entries()].filter(([, joint]) => joint !== -1);
  const lay = (to: Standing, turns?: readonly Quaternion[]): Laid | null =>
    layOnto({ from, to, pairs, parents: rig.joints.parent, held }, turns);
  const stored = restWorld(scene);
  const drawn = lay(
    standingOf(jointPlaces(scene, stored), (joint) => mat4At(stored, scene.jointNodes[joint] ?? 0)),
  );
  // What turns a rig while clips play is above its joints: a root that is stored turned will be posed.
  const own = bonePose(facts);
  const played = lay(
    standingOf(own.places, (joint) => mat4At(own.world, joint)),
    [NO_TURN, turnOver(rig, facts.rig, held)],
  );
  if (drawn === null || played === null) return null;
  const { skeleton, place } = sceneSkeleton(rig);
  const { place: placeOnRig } = sceneSkeleton(facts.rig);
  const moments = limitOf === null ? new Map() : worstMoments(facts, limitOf);
  return {
    ...skeleton,
    name: rig.name,
    file: facts.approved.asset.name,
    by: 'root',
    onto: [...played.matrix],
    scale: drawn.scale,
    turned: turnDegrees(drawn.turn),
    places: places.map((point) => transformPoint(drawn.matrix, point)),
    held,
    jointAnswers: [...ofApproved],
    clips: carriedClips(facts).map((clip) =>
      straightOnBoth(clip, place, placeOnRig, skeleton.nodes.length, moments.get(clip) ?? null),
    ),
  };
}

/** The body root and what answers to it; where nothing does, the topmost joint that has an answer. */
function heldJoint(theirs: Facts, ofApproved: Int32Array): [number, number] | null {
  if (ofApproved.filter((joint) => joint !== -1).length < LEAST_IN_COMMON) return null;
  const root = bodyRoot(theirs).joint;
  const joint = (ofApproved[root] ?? -1) === -1 ? ofApproved.findIndex((own) => own !== -1) : root;
  return [joint, ofApproved[joint] ?? -1];
}

/** The turn from what is above the joints of the approved rig to what is above those of the other. */
function turnOver(approved: Rig, own: Rig, [theirs, ours]: readonly [number, number]): Quaternion {
  return multiplyQuaternions(turnAbove(own, ours), conjugate(turnAbove(approved, theirs)));
}

/** The turn, in the world, of the frame that the topmost joint above a joint hangs in. */
function turnAbove({ nodes, joints }: Rig, joint: number): Quaternion {
  let top = joint;
  for (let up = joint; up !== -1; up = joints.parent[up] ?? -1) top = up;
  const first = joints.spacers[top]?.[0] ?? joints.node[top] ?? -1;
  const above = nodes.parent[first] ?? -1;
  return above === -1 ? NO_TURN : decompose(mat4At(nodes.world, above)).rotation;
}
