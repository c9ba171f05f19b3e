import type { Facts } from '../measure/facts.js';
import { type Matching, matching } from '../measure/fit/matching.js';
import { bonePose } from '../measure/pose/bone-pose.js';
import { bodyRoot } from '../measure/skeleton/body-root.js';
import { type Mat4, transformPoint } from '../rig/mat4.js';
import type { ClipSource, NodeTable, Rig } from '../rig/types.js';
import { degrees, type Vec3 } from '../rig/vec3.js';
import { jointPlaces, restWorld } from './rest-mesh.js';
import { type Laid, layOnto } from './same-shape.js';
import type { ApprovedClip, RigScene, SceneApproved, SceneNode } from './scene.js';
import { straightClip } from './scene-clip.js';
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
    answers: answersOf(skeleton.nodes, scene, ofApproved),
    clips: facts.approved.asset.clips.flatMap((source) => clipsOf(source, rig, skeleton, place)),
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

/** Joints answer as they were matched, holders and spacers to the one of their name. */
function answersOf(
  nodes: readonly SceneNode[],
  { nodes: own, jointNodes }: RigScene,
  ofApproved: Int32Array,
): number[] {
  const others = byName(own.map(({ name, joint }) => (joint === -1 ? name : null)));
  return nodes.map(({ name, joint }) =>
    joint === -1 ? (others.get(name) ?? -1) : (jointNodes[ofApproved[joint] ?? -1] ?? -1),
  );
}

/** Clips of one file that pose the rig. Nodes of another file are those of their name. */
function clipsOf(
  { name, nodes, clips }: ClipSource,
  rig: Rig,
  skeleton: Pick<RigScene, 'nodes'>,
  place: (node?: number) => number,
): ApprovedClip[] {
  const named = nodes === rig.nodes ? null : namedPlaces(nodes, skeleton.nodes);
  return clips
    .map((clip) => ({
      ...straightClip(clip, named === null ? place : (node) => named[node] ?? -1),
      from: name,
    }))
    .filter(({ tracks }) => tracks.length > 0);
}

function namedPlaces(nodes: NodeTable, shown: readonly SceneNode[]): number[] {
  const places = byName(shown.map(({ name }) => name));
  const known = byName(nodes.names);
  return nodes.names.map((name, node) =>
    name !== null && known.get(name) === node ? (places.get(name) ?? -1) : -1,
  );
}

/** Where each name stands in a list; a name that stands in it twice tells nothing, and -1 says so. */
function byName(names: readonly (string | null)[]): Map<string, number> {
  const places = new Map<string, number>();
  names.forEach((name, index) => {
    if (name !== null && name !== '') places.set(name, places.has(name) ? -1 : index);
  });
  return places;
}
