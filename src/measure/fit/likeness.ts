import { transformPoint } from '../../rig/mat4.js';
import type { JointTable } from '../../rig/types.js';
import { distance, type Vec3 } from '../../rig/vec3.js';
import { fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { distanceToSegment } from '../geometry/segment-distance.js';
import { bonePose } from '../pose/bone-pose.js';
import { type LaidMesh, layMesh } from './lay-mesh.js';
import { likePairs } from './like-pairs.js';
import { likeRuns, type OwnWay, ownWay } from './like-runs.js';
import { approvedFacts } from './matching.js';

/** How a rig is like a model of the same mesh, by where its joints are and not by their names. */
export interface Likeness {
  readonly laid: LaidMesh;
  /** Where each joint of the model is in this rig. World units of this rig. */
  readonly places: readonly Vec3[];
  /** The joint of this rig for each joint of the model, -1 for none. */
  readonly ofModel: Int32Array;
  /** How far each joint of the model is from what answers to it, in % of the model's size; NaN for what is missing. */
  readonly offs: Float64Array;
  /** Joints of the model that nothing answers to, branch by branch, in joint order. */
  readonly missing: readonly (readonly number[])[];
  /** Joints of this rig that answer to none of the model and lie in none of its runs. */
  readonly extra: readonly number[];
}

/** In a run of more or fewer joints, one is there where another is nearer than this. Share of its shorter bone. */
export const LEFT_OUT = 0.6;

/**
 * Lays the approved rig, the model, over a rig by its mesh, and asks of each joint of the model what
 * stands in its place. Joints answer to each other by place first, and by name where both are left
 * (`likePairs`). Then each run of joints without a branch is looked at as a whole, between two that have
 * an answer. With as many joints on both sides they answer in their order, each measured against its own.
 * With more or fewer, a joint of the model is measured against the bones of the other run, and is there if
 * a joint is within 0.6 of its shorter bone: a spine of four can be built as one of five, but a leg
 * without a knee has no knee. Null where the two do not have one mesh.
 */
export const likeness = fact((own): Likeness | null => {
  const model = approvedFacts(own);
  const laid = model && layMesh(model, own);
  if (model === null || laid === null) return null;
  const places = bonePose(model).places.map((place) => transformPoint(laid.matrix, place));
  const ownPlaces = bonePose(own).places;
  const whole = laid.scale * size(model);
  const ofModel = likePairs(own, places, whole);
  const ways = likeRuns(model.rig.joints).flatMap(
    (run) => ownWay(run, ofModel, own.rig.joints.parent) ?? [],
  );
  const even = ways.filter(({ inner, joints }) => inner.length === joints.length);
  for (const way of even) pairInOrder(way, ofModel);
  const offs = Float64Array.from(ofModel, (answer, joint) => {
    const [from, to] = [places[joint], ownPlaces[answer]];
    return from && to ? (100 * distance(from, to)) / whole : Number.NaN;
  });
  for (const way of ways.filter((each) => !even.includes(each)))
    for (const [joint, off] of offsAlong(way, model.rig.joints, places, ownPlaces))
      offs[joint] = Math.min(
        (100 * off) / whole,
        Number.isNaN(offs[joint]) ? Infinity : (offs[joint] ?? Infinity),
      );
  const answering = new Set([...ofModel, ...ways.flatMap(({ joints }) => joints)]);
  return {
    laid,
    places,
    ofModel,
    offs,
    missing: branchesOf(model.rig.joints, offs),
    extra: [...ownPlaces.keys()].filter((joint) => !answering.has(joint)),
  };
});

function pairInOrder({ inner, joints }: OwnWay, ofModel: Int32Array): void {
  // What answers to a joint elsewhere stays its answer.
  const own = new Set(inner);
  const isFree = joints.every((answer) => {
    const joint = ofModel.indexOf(answer);
    return joint === -1 || own.has(joint);
  });
  if (isFree) for (const [at, joint] of inner.entries()) ofModel[joint] = joints[at] ?? -1;
}

/** How far the joints of a run are from the bones of one with another number of joints; those left out have none. */
function offsAlong(
  { inner, joints, top, bottom }: OwnWay,
  { parent, children }: JointTable,
  places: readonly Vec3[],
  ownPlaces: readonly Vec3[],
): (readonly [number, number])[] {
  const all = [top, ...joints, bottom].map((joint): Vec3 => ownPlaces[joint] ?? [0, 0, 0]);
  return inner.flatMap((joint) => {
    const place = places[joint] ?? [0, 0, 0];
    const ends = [parent[joint] ?? -1, ...(children[joint] ?? [])].flatMap((end) =>
      places[end] === undefined ? [] : [distance(place, places[end])],
    );
    const nearest = Math.min(...all.map((other) => distance(place, other)));
    if (nearest > LEFT_OUT * Math.min(...ends)) return [];
    const bones = all.slice(1).map((end, at) => distanceToSegment(place, all[at] ?? end, end));
    return [[joint, Math.min(...bones)] as const];
  });
}

/** Joints without an answer, those that hang on each other together. */
function branchesOf({ parent }: JointTable, offs: Float64Array): number[][] {
  const branches = new Map<number, number[]>();
  const branchAt = new Map<number, number[]>();
  for (const [joint, off] of offs.entries()) {
    if (!Number.isNaN(off)) continue;
    const branch = branchAt.get(parent[joint] ?? -1) ?? [];
    if (branch.length === 0) branches.set(joint, branch);
    branch.push(joint);
    branchAt.set(joint, branch);
  }
  return [...branches.values()];
}
