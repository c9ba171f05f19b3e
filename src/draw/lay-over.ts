import type { LimitOf } from '../kit/rule.js';
import type { Facts } from '../measure/facts.js';
import { carriedClips } from '../measure/fit/clip-carry.js';
import { type Matching, matching } from '../measure/fit/matching.js';
import { bonePose } from '../measure/pose/bone-pose.js';
import { bodyRoot } from '../measure/skeleton/body-root.js';
import { decompose } from '../rig/decompose.js';
import {
  compose,
  identity,
  invert,
  type Mat4,
  mat4At,
  multiply,
  transformPoint,
} from '../rig/mat4.js';
import type { Rig } from '../rig/types.js';
import { degrees, type Vec3 } from '../rig/vec3.js';
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
  const held = heldJoint(theirs, matched);
  if (held === null) return null;
  const { places } = bonePose(theirs);
  const lay = (own: readonly Vec3[], among?: readonly Mat4[]): Laid | null => {
    const to = [...ofApproved].map((joint) => own[joint]);
    return layOnto({ from: places, to, parents: rig.joints.parent, held: held[0] }, among);
  };
  const drawn = lay(jointPlaces(scene, restWorld(scene)));
  // What turns a rig while clips play is above its joints: a root that is stored turned will be posed.
  const played = lay(bonePose(facts).places, [turnOver(rig, facts.rig, held)]);
  if (drawn === null || played === null) return null;
  const { skeleton, place } = sceneSkeleton(rig);
  const { place: placeOnRig } = sceneSkeleton(facts.rig);
  const moments = limitOf === null ? new Map() : worstMoments(facts, limitOf);
  return {
    ...skeleton,
    name: rig.name,
    file: facts.approved.asset.name,
    onto: [...played.matrix],
    scale: drawn.scale,
    turned: angleOf(drawn.turn),
    places: places.map((point) => transformPoint(drawn.matrix, point)),
    held,
    jointAnswers: [...ofApproved],
    clips: carriedClips(facts).map((clip) =>
      straightOnBoth(clip, place, placeOnRig, skeleton.nodes.length, moments.get(clip) ?? null),
    ),
  };
}

/** The body root and what answers to it; where nothing does, the topmost joint that has an answer. */
function heldJoint(theirs: Facts, { ofApproved }: Matching): [number, number] | null {
  if (ofApproved.filter((joint) => joint !== -1).length < LEAST_IN_COMMON) return null;
  const root = bodyRoot(theirs).joint;
  const joint = (ofApproved[root] ?? -1) === -1 ? ofApproved.findIndex((own) => own !== -1) : root;
  return [joint, ofApproved[joint] ?? -1];
}

/** The turn from what is above the joints of the approved rig to what is above those of the other. */
function turnOver(approved: Rig, own: Rig, [theirs, ours]: readonly [number, number]): Mat4 {
  const back = invert(turnAbove(approved, theirs)) ?? identity();
  return multiply(turnAbove(own, ours), back);
}

/** The turn, in the world, of the frame that the topmost joint above a joint hangs in. */
function turnAbove({ nodes, joints }: Rig, joint: number): Mat4 {
  let top = joint;
  for (let up = joint; up !== -1; up = joints.parent[up] ?? -1) top = up;
  const first = joints.spacers[top]?.[0] ?? joints.node[top] ?? -1;
  const above = nodes.parent[first] ?? -1;
  if (above === -1) return identity();
  return compose([0, 0, 0], decompose(mat4At(nodes.world, above)).rotation, [1, 1, 1]);
}

/** The angle of a turn: tr R = 1 + 2 cos. Degrees. */
function angleOf(turn: Mat4): number {
  const cosine = ((turn[0] ?? 0) + (turn[5] ?? 0) + (turn[10] ?? 0) - 1) / 2;
  return degrees(Math.acos(Math.min(1, Math.max(-1, cosine))));
}
