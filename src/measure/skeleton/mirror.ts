import { angleBetween, degrees, distance, dot, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { midline } from '../geometry/midline.js';
import { MIRROR_SCHEMES, type MirrorScheme } from '../mirror-schemes.js';
import { bonePose } from '../pose/bone-pose.js';
import { skinMass } from '../skin/skin-mass.js';
import { boneDirection } from './bones.js';
import { aimAxisOf, aimJoints } from './chains.js';
import { conventions } from './conventions.js';
import { isEye } from './eyes.js';
import { frames } from './frames.js';
import { PAIR_TOLERANCE, type Pair, pairs } from './pairs.js';

export type { MirrorScheme };

/** How right joints mirror left ones. */
export interface Mirror {
  /** The scheme that most pairs follow; null when no half of them agree on one. */
  readonly scheme: MirrorScheme | null;
  /** Pairs within the tolerance of the scheme, and pairs judged. */
  readonly agree: number;
  readonly pairs: readonly MirroredPair[];
}

interface MirroredPair {
  readonly pair: Pair;
  /** Angle in degrees of each pair's right frame from what the scheme makes of its left. */
  readonly miss: Readonly<Record<MirrorScheme, number>>;
}

/** A pair follows a scheme when its frames lie within this of it. Degrees. */
const FOLLOWS_DEGREES = 5;

/**
 * Finds a rig's mirror scheme from pairs whose places and bones mirror: where a pose or a design
 * puts two joints differently (a folded ear, a longer arm), each frame follows its bone and has to
 * differ. Pairs found by place alone may be none, and eyes turn by themselves.
 */
export const mirror = fact((facts): Mirror => {
  const { movesBelow } = skinMass(facts);
  const next = aimJoints(facts);
  const { parent } = facts.rig.joints;
  const inChain = (joint: number): boolean =>
    next[joint] !== -1 || next[parent[joint] ?? -1] === joint || !isEye(facts, joint);
  const judged = pairs(facts)
    .list.filter(({ by }) => by !== 'place')
    .filter(({ left, right }) => movesBelow[left] === 1 && movesBelow[right] === 1)
    .filter(({ left, right }) => inChain(left) && inChain(right))
    .filter((pair) => placesMirror(facts, pair) && bonesMirror(facts, pair))
    .flatMap((pair): MirroredPair[] => {
      const miss = missOf(facts, pair.left, pair.right);
      return miss === null ? [] : [{ pair, miss }];
    });
  let best: { scheme: MirrorScheme; agree: number; sum: number } | null = null;
  for (const scheme of MIRROR_SCHEMES) {
    const misses = judged.map(({ miss }) => miss[scheme]);
    const agree = misses.filter((miss) => miss <= FOLLOWS_DEGREES).length;
    const sum = misses.reduce((total, miss) => total + miss, 0);
    if (best === null || agree > best.agree || (agree === best.agree && sum < best.sum - 1e-6))
      best = { scheme, agree, sum };
  }
  const { scheme = null, agree = 0 } = best ?? {};
  const isFollowed = judged.length > 0 && agree * 2 >= judged.length;
  return { scheme: isFollowed ? scheme : null, agree, pairs: judged };
});

/** Schemes that are told apart by which axis is up. */
const BY_UP: readonly MirrorScheme[] = ['side reversed', 'up reversed'];

/**
 * The scheme that pairs are to follow: the standard's, else the rig's; null where it has none. Where no
 * level bone tells which axis is up, up and side are only names, and the rig's own holds for both.
 */
export function heldScheme(facts: Facts): MirrorScheme | null {
  const [asked, { scheme }] = [facts.wanted.mirror, mirror(facts)];
  if (asked === undefined) return scheme;
  const isBoth = scheme !== null && isNameOnly(facts, scheme) && isNameOnly(facts, asked);
  return isBoth ? scheme : asked;
}

/** Whether the scheme of a rig has a name that another rig has for another, since nothing tells up. */
export function isNameOnly(facts: Facts, scheme: MirrorScheme): boolean {
  return BY_UP.includes(scheme) && !conventions(facts).upKnown;
}

/** How far a joint's pair is off the rig's mirror scheme, in degrees; null where nothing tells. */
export function pairMiss(facts: Facts, joint: number): number | null {
  const { scheme } = mirror(facts);
  return scheme === null ? null : (missByJoint(facts).get(joint)?.[scheme] ?? null);
}

/** The same from the frames alone, whether or not the pair can tell the scheme. */
export function frameMiss(facts: Facts, joint: number): number | null {
  const { scheme } = mirror(facts);
  const { partner, side } = pairs(facts);
  const other = partner[joint] ?? -1;
  if (scheme === null || other === -1) return null;
  const [left, right] = side[joint] === 'left' ? [joint, other] : [other, joint];
  return missOf(facts, left, right)?.[scheme] ?? null;
}

/** Angle of a pair from the scheme that it is nearest to. Degrees. */
export function leastMiss({ miss }: MirroredPair): number {
  return Math.min(...MIRROR_SCHEMES.map((scheme) => miss[scheme]));
}

const missByJoint = fact((facts): ReadonlyMap<number, MirroredPair['miss']> => {
  return new Map(
    mirror(facts).pairs.flatMap(({ pair, miss }) => [
      [pair.left, miss],
      [pair.right, miss],
    ]),
  );
});

/** x half-way between most pairs by mapping or name: a satchel moves the middle of the mesh. */
const pairPlane = fact((facts): number => {
  const { places } = bonePose(facts);
  const middles = pairs(facts)
    .list.filter((pair) => pair.by !== 'place')
    .map(({ left, right }) => ((places[left]?.[0] ?? 0) + (places[right]?.[0] ?? 0)) / 2)
    .sort((a, b) => a - b);
  return middles[Math.floor(middles.length / 2)] ?? midline(facts).x;
});

function placesMirror(facts: Facts, { left, right }: Pair): boolean {
  const { places } = bonePose(facts);
  const [x, y, z] = places[left] ?? [0, 0, 0];
  const mirrored: Vec3 = [2 * pairPlane(facts) - x, y, z];
  return distance(mirrored, places[right] ?? [0, 0, 0]) <= PAIR_TOLERANCE * size(facts);
}

/** Bones mirror when the right one runs within this of the mirrored left one. Degrees. */
const BONES_DEGREES = 3;

/** Whether the bones at two joints mirror: those to their aim joints, and those from their parents. */
function bonesMirror(facts: Facts, { left, right }: Pair): boolean {
  const next = aimJoints(facts);
  const { parent } = facts.rig.joints;
  const mirrored = (a: Vec3 | null, b: Vec3 | null): boolean =>
    a === null || b === null || angleBetween([-a[0], a[1], a[2]], b) <= BONES_DEGREES;
  const along = (joint: number): Vec3 | null => boneDirection(facts, joint, next[joint] ?? -1);
  const from = (joint: number): Vec3 | null => boneDirection(facts, parent[joint] ?? -1, joint);
  return mirrored(along(left), along(right)) && mirrored(from(left), from(right));
}

/**
 * Angles of the right frame from what each scheme makes of the left. With d_i the cosine between
 * the mirrored left and the right axis i, the trace of the remaining rotation, 1 + 2 cos(angle), is
 * the sum of d_i, negative for the axes that a scheme reverses.
 */
function missOf(facts: Facts, left: number, right: number): MirroredPair['miss'] | null {
  const [from, to] = [frames(facts)[left], frames(facts)[right]];
  if (from === undefined || to === undefined) return null;
  const aim = aimAxisOf(facts, left)?.index ?? 0;
  const up = conventions(facts).up?.index ?? (aim + 1) % 3;
  const cosine = (axis: number): number => {
    const [l, r] = [from[axis] ?? [0, 0, 0], to[axis] ?? [0, 0, 0]];
    return -l[0] * r[0] + l[1] * r[1] + l[2] * r[2];
  };
  const [a, u, s] = [cosine(aim), cosine(up), cosine(3 - aim - up)];
  return {
    'all reversed': angleOfTrace(-a - u - s),
    'aim reversed': angleOfTrace(-a + u + s),
    'up reversed': angleOfTrace(a - u + s),
    'side reversed': angleOfTrace(a + u - s),
    copied: angleOfTrace(dot(from[0], to[0]) + dot(from[1], to[1]) + dot(from[2], to[2])),
  };
}

function angleOfTrace(trace: number): number {
  return degrees(Math.acos(Math.min(1, Math.max(-1, (trace - 1) / 2))));
}
