import { distance, dot, subtract, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import { bonePose } from '../pose/bone-pose.js';
import { isBranching } from '../skeleton/body-root.js';
import { segments } from '../skeleton/chains.js';
import { skinCentre } from './skin-centre.js';
import { skinMass } from './skin-mass.js';
import { distanceToBones } from './skin-reach.js';

/** A joint of a chain, and where its skin lies along the chain. */
export interface AlongChain {
  readonly joint: number;
  /** The next joint of the chain, where its own bone ends. */
  readonly next: number;
  /** That joint, where it ends the chain and moves skin of its own; else -1. */
  readonly end: number;
  /** The joint whose bone the middle of its skin lies beside; -1 above a topmost joint. */
  readonly beside: number;
  /**
   * From the middle of its own bone to the middle of its skin, along the chain, as a share of the
   * mean length of both bones; below 0 towards the root. 1 is one joint too far.
   */
  readonly by: number;
  /** Whether it branches: then the flesh of a chest or a hand lies about it, and alone it tells little. */
  readonly branches: boolean;
  /** The middle of its skin. Bind pose, world space. */
  readonly centre: Vec3;
}

/** Skin that lies more bones than this along the chain is no slip of the chain. */
const MOST_BONES = 4;

/**
 * Where the skin of each joint lies along its chain, chain by chain: of joints that move skin and
 * have a next joint in the chain. A joint that is not measured ends a row.
 */
export const skinAlongChains = fact((facts): readonly (readonly AlongChain[])[] => {
  const { moves, hasMesh } = skinMass(facts);
  if (!hasMesh) return [];
  return segments(facts).flatMap((chain) => {
    const bones = bonesOf(facts, chain);
    const rows: AlongChain[][] = [[]];
    for (const [at, joint] of chain.entries()) {
      const along = moves[joint] === 1 ? measure(facts, chain, bones, at) : null;
      if (along === null) rows.push([]);
      else rows.at(-1)?.push(along);
    }
    return rows.filter((row) => row.length > 0);
  });
});

function measure(
  facts: Facts,
  chain: readonly number[],
  bones: readonly (Bone | null)[],
  at: number,
): AlongChain | null {
  const [joint, own] = [chain[at] ?? -1, bones[at] ?? null];
  const centre = skinCentre(facts, joint);
  if (own === null || centre === null) return null;
  const step = shareAlong(own, centre) < 0 ? -1 : 1;
  const isPast = (bone: Bone): boolean =>
    step < 0 ? shareAlong(bone, centre) < 0 : shareAlong(bone, centre) > 1;
  let [here, bone] = [at, own];
  for (let next = bones[here + step]; next && isPast(bone); next = bones[here + step]) {
    if (Math.abs(here - at) === MOST_BONES) return null;
    [here, bone] = [here + step, next];
  }
  const share = shareAlong(bone, centre);
  // On the outside of a bend a point is past the end of one bone and not yet beside the next.
  const within = here === at ? share : step < 0 ? Math.min(1, share) : Math.max(0, share);
  const way = bone.start + within * bone.length - (own.start + own.length / 2);
  const before = facts.rig.joints.parent[chain[0] ?? -1] ?? -1;
  const beside = within < 0 ? before : (chain[within > 1 ? here + 1 : here] ?? -1);
  const by = way / ((own.length + bone.length) / 2);
  const branches = isBranching(facts, joint);
  // Its skin can lie beside the bone to any of its children.
  const isOwn = branches && (beside === -1 || isNearer(facts, joint, beside, centre));
  const next = chain[at + 1] ?? -1;
  const end = at + 2 === chain.length && skinMass(facts).moves[next] === 1 ? next : -1;
  return { joint, next, end, beside, by: isOwn ? 0 : by, branches, centre };
}

/** Whether a point is nearer to the bones of a joint than to those of another. */
function isNearer(facts: Facts, joint: number, other: number, point: Vec3): boolean {
  return distanceToBones(facts, joint, point) <= distanceToBones(facts, other, point);
}

/** A bone of a chain. Bind pose, world space. */
interface Bone {
  readonly from: Vec3;
  readonly to: Vec3;
  readonly length: number;
  /** From the first joint of the chain along it to this bone. */
  readonly start: number;
}

/** The bones of a chain; null where one has no length, or no skin lists both its joints. */
function bonesOf(facts: Facts, chain: readonly number[]): (Bone | null)[] {
  const { places } = bindPose(facts);
  let start = 0;
  return chain.slice(1).map((joint, at): Bone | null => {
    const [from, to] = [places[chain[at] ?? -1], places[joint]];
    if (from === undefined || to === undefined || bonePose(facts).apart[joint] === 1) return null;
    const bone = { from, to, length: distance(from, to), start };
    if (!(bone.length > 0 && Number.isFinite(bone.length))) return null;
    start += bone.length;
    return bone;
  });
}

/** How far along a bone the point of its line nearest to `point` is: 0 at its joint, 1 at the next. */
function shareAlong({ from, to, length }: Bone, point: Vec3): number {
  return dot(subtract(point, from), subtract(to, from)) / (length * length);
}
