import { add, length, type Vec3 } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { nameParts } from '../names/sides.js';
import { bindPose } from '../pose/bind-pose.js';
import { skinMass } from '../skin/skin-mass.js';
import { pairs } from './pairs.js';
import { between, type Way, wayOf } from './way.js';

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
  const words = nameParts(name).filter((part) => !/^\d/.test(part));
  return words.map((word) => word.toLowerCase());
}
