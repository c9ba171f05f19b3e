import type { Facts } from '../measure/facts.js';
import { type Matching, matching } from '../measure/fit/matching.js';
import { bonePose } from '../measure/pose/bone-pose.js';
import { bodyRoot } from '../measure/skeleton/body-root.js';
import { type Mat4, transformPoint } from '../rig/mat4.js';
import type { Rig } from '../rig/types.js';
import { degrees, type Vec3 } from '../rig/vec3.js';
import { byName, clipsOnBoth, straightOnBoth } from './approved-clips.js';
import { jointPlaces, restWorld } from './rest-mesh.js';
import { type Laid, layOnto } from './same-shape.js';
import type { RigScene, SceneApproved } from './scene.js';
import { sceneSkeleton } from './scene-skeleton.js';

/** With fewer joints in common there is no telling which size and place one has in the other. */
const LEAST_IN_COMMON = 2;

/**
 * The approved rig, laid over the one that is compared with it as that is drawn: with its body root on
 * the answering joint, as large as it, and turned as a whole where it stands otherwise. Null where the
 * two share too little.
 */
export function layOver(facts: Facts, scene: RigScene): SceneApproved | null {
  const matched = matching(facts);
  if (matched === null || facts.approved === undefined) return null;
  const { approved: rig, ofApproved } = matched;
  const theirs: Facts = { rig, wanted: facts.wanted };
  const held = heldJoint(theirs, matched);
  if (held === null) return null;
  const { skeleton, place } = sceneSkeleton(rig);
  const { place: placeOnRig } = sceneSkeleton(facts.rig);
  const own = jointPlaces(scene, restWorld(scene));
  const lay = (from: readonly Vec3[]): Laid | null => {
    const to = [...ofApproved].map((joint) => own[joint]);
    return layOnto({ from, to, parents: rig.joints.parent, held: held[0] });
  };
  const { places } = bonePose(theirs);
  // Holders that turn or scale a rig count where it is played, and not where it was bound.
  const [bound, stored] = [lay(places), lay(jointPlaces(skeleton, restWorld(skeleton)))];
  if (bound === null || stored === null) return null;
  return {
    ...skeleton,
    name: rig.name,
    file: facts.approved.asset.name,
    onto: [...stored.matrix],
    scale: stored.scale,
    turned: angleOf(stored.turn),
    places: places.map((point) => transformPoint(bound.matrix, point)),
    held,
    jointAnswers: [...ofApproved],
    clips: clipsOnBoth(facts.approved.asset.clips, rig, answersOf(matched, facts.rig))
      .map((clip) => straightOnBoth(clip, place, placeOnRig, skeleton.nodes.length))
      .filter((clip) => clip !== null),
  };
}

/** The body root and what answers to it; where nothing does, the topmost joint that has an answer. */
function heldJoint(theirs: Facts, { ofApproved }: Matching): [number, number] | null {
  if (ofApproved.filter((joint) => joint !== -1).length < LEAST_IN_COMMON) return null;
  const root = bodyRoot(theirs).joint;
  const joint = (ofApproved[root] ?? -1) === -1 ? ofApproved.findIndex((own) => own !== -1) : root;
  return [joint, ofApproved[joint] ?? -1];
}

/** The angle of a turn: tr R = 1 + 2 cos. Degrees. */
function angleOf(turn: Mat4): number {
  const cosine = ((turn[0] ?? 0) + (turn[5] ?? 0) + (turn[10] ?? 0) - 1) / 2;
  return degrees(Math.acos(Math.min(1, Math.max(-1, cosine))));
}

/** Joints answer as they were matched, holders and spacers to the one of their name. -1 for none. */
function answersOf({ approved, ofApproved }: Matching, rig: Rig): (node: number) => number {
  const between = ({ nodes, joints }: Rig): Map<string, number> =>
    byName(nodes.names.map((name, node) => (joints.ofNode[node] === -1 ? name : null)));
  const [theirs, others] = [between(approved), between(rig)];
  return (node) => {
    const joint = approved.joints.ofNode[node] ?? -1;
    if (joint !== -1) return rig.joints.node[ofApproved[joint] ?? -1] ?? -1;
    const name = approved.nodes.names[node] ?? '';
    return theirs.get(name) === node ? (others.get(name) ?? -1) : -1;
  };
}
