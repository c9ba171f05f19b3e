import {
  add,
  angleBetween,
  cross,
  direction,
  length,
  scale,
  subtract,
  type Vec3,
} from '../../rig/vec3.js';
import { ALL_AXES, type Axis, type Facts, fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';
import { bindPose } from '../pose/bind-pose.js';
import { skinMass } from '../skin/skin-mass.js';
import { pairs } from './pairs.js';

/** A direction of a rig in its bind pose. Unit vector, world space. */
export interface Way {
  readonly along: Vec3;
  /** The joints that it was told from, in order. */
  readonly joints: readonly number[];
}

/** Ends of words for what stands on the ground, and for the rest of a leg (common practice). */
const FOOT = /(foot|feet|toes?|paw|hoof|heel|ankle)$/;
const LEG = /(leg|thigh|shin|calf|knee|cannon)$/;
/** The bones of a humanoid mapping that are the foot and the top of a leg (VRM 1.0, `humanoid.md`). */
const MAPPED = [
  ['leftFoot', 'leftUpperLeg'],
  ['rightFoot', 'rightUpperLeg'],
] as const;

/** A leg, by the joint at its top and the one at its end. */
interface Leg {
  readonly top: number;
  readonly foot: number;
}

/**
 * Which way the legs stand: the sum of the ways from each foot to the top of its leg. Legs are those
 * of the asset's humanoid mapping, else limbs that are named for one. Null where there are not two.
 */
export const upOfLegs = fact((facts): Way | null => {
  const { places } = bindPose(facts);
  const mapped = mappedLegs(facts);
  const legs = mapped.length > 0 ? mapped : namedLegs(facts);
  if (legs.length < 2) return null;
  const ways = legs.map(({ top, foot }) => between(places, foot, top));
  // The legs of a spider reach out all round, and their sum is what is left by chance.
  const reach = ways.reduce((sum, way) => sum + length(way), 0);
  const sum = ways.reduce<Vec3>((all, way) => add(all, way), [0, 0, 0]);
  if (length(sum) < ALONGSIDE_SHARE * reach) return null;
  return wayOf(facts, ways, [...new Set(legs.flatMap(({ top, foot }) => [top, foot]))]);
});

/** Legs stand side by side when their sum has this share of their lengths. */
const ALONGSIDE_SHARE = 0.8;

function mappedLegs({ rig }: Facts): Leg[] {
  const joints = rig.humanoid?.joints;
  return MAPPED.flatMap(([end, start]) => {
    const [foot, top] = [joints?.get(end), joints?.get(start)];
    return foot === undefined || top === undefined ? [] : [{ foot, top }];
  });
}

/** Joints below the top of a leg down to its foot: a shorter limb may be a foot that a solver pulls by. */
const LEAST_STEPS = 2;

/**
 * Limbs of a side that have a word for a leg or foot in their names, each from its topmost joint to its
 * first foot, else to its last joint of such a name.
 */
function namedLegs(facts: Facts): Leg[] {
  const { names, named, parent } = facts.rig.joints;
  const { side } = pairs(facts);
  const { movesBelow, hasMesh } = skinMass(facts);
  const legs = new Map<number, Leg & { readonly isFoot: boolean }>();
  names.forEach((name, joint) => {
    const own = side[joint] ?? null;
    const words = named[joint] === true ? wordsOf(name) : [];
    const isFoot = words.some((word) => FOOT.test(word));
    if (own === null || !(isFoot || words.some((word) => LEG.test(word)))) return;
    let [top, steps] = [joint, 0];
    for (let above = parent[top] ?? -1; above !== -1 && side[above] === own; steps++)
      [top, above] = [above, parent[above] ?? -1];
    // Controls that solvers pull feet by have their names.
    if (hasMesh && movesBelow[top] !== 1) return;
    // Joints come parents first: the first foot stays, and of others the last.
    if (steps >= LEAST_STEPS && legs.get(top)?.isFoot !== true)
      legs.set(top, { top, foot: joint, isFoot });
  });
  return [...legs.values()];
}

/** No words are looked for in longer names. Letters. */
const LONGEST_NAME = 256;

/** The words of a name, in lower case. */
function wordsOf(name: string): string[] {
  if (name.length > LONGEST_NAME) return [];
  const words = name.match(/\p{Lu}+(?!\p{Ll})|\p{Lu}?[\p{Ll}\p{Lo}]+/gu) ?? [];
  return words.map((word) => word.toLowerCase());
}

/**
 * Which way is left: the sum of the ways from each right joint to its left partner, of pairs by
 * mapping or by name. Places alone cannot tell which of two is the left one.
 */
export const leftOfPairs = fact((facts): Way | null => {
  const { places } = bindPose(facts);
  const told = pairs(facts).list.filter(({ by }) => by !== 'place');
  const ways = told.map(({ left, right }) => between(places, right, left));
  return wayOf(
    facts,
    ways,
    told.flatMap(({ left, right }) => [left, right]),
  );
});

/**
 * Which way a rig looks, if `vertical` is up: left × up, since left is at +X of what stands up along +Y
 * and looks along +Z (glTF 2.0, 3.4 Coordinate System and Units).
 */
export function frontOf(facts: Facts, vertical: Axis): Way | null {
  const left = leftOfPairs(facts);
  if (left === null) return null;
  const up = standingAxis(facts) ?? vertical;
  const along = direction(cross(left.along, vectorOf(up)));
  // Sides that lie above each other tell nothing of the front.
  const lean = Math.abs(90 - angleBetween(left.along, vectorOf(up)));
  return along === null || lean > LEANING_DEGREES ? null : { along, joints: left.joints };
}

/** Left lies across up within this. */
const LEANING_DEGREES = 30;
/** Legs stand along an axis of the world within this. */
const STANDING_DEGREES = 30;

/** The axis of the world that the legs stand along; null where none is near. */
function standingAxis(facts: Facts): Axis | null {
  const up = upOfLegs(facts)?.along;
  if (up === undefined) return null;
  return ALL_AXES.find((axis) => angleBetween(vectorOf(axis), up) <= STANDING_DEGREES) ?? null;
}

/** Unit vector along an axis. */
export function vectorOf({ index, sign }: Axis): Vec3 {
  return [index === 0 ? sign : 0, index === 1 ? sign : 0, index === 2 ? sign : 0];
}

function between(places: readonly Vec3[], from: number, to: number): Vec3 {
  return subtract(places[to] ?? [0, 0, 0], places[from] ?? [0, 0, 0]);
}

/** Shorter sums point nowhere; share of size. */
const LEAST_SHARE = 1e-3;

function wayOf(facts: Facts, ways: readonly Vec3[], joints: readonly number[]): Way | null {
  if (ways.length === 0) return null;
  const mean = scale(
    ways.reduce((sum, way) => add(sum, way), [0, 0, 0]),
    1 / ways.length,
  );
  const along = direction(mean);
  const isLong = length(mean) > LEAST_SHARE * size(facts);
  return along !== null && isLong ? { along, joints } : null;
}
