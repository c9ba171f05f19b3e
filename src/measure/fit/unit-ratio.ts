import { invert, mat4At, multiply, origin } from '../../rig/mat4.js';
import { length } from '../../rig/vec3.js';
import { type Facts, fact } from '../facts.js';
import { bonePose } from '../pose/bone-pose.js';
import { approvedFacts, matching } from './matching.js';
import { scaleOver } from './skeleton-scale.js';

/** How many times as large this rig is as the approved one, in two ways. */
export interface SizeRatios {
  /** As it stands in the world, holders and all. */
  readonly world: number;
  /** As its bones are stored: what a clip that moves joints is written in. */
  readonly stored: number;
}

export const sizeRatios = fact((facts): SizeRatios | null => {
  const match = matching(facts);
  const theirs = approvedFacts(facts);
  if (match === null || theirs === null) return null;
  const stored = scaleOver(theirs, match.ofApproved, storedLengths(theirs), storedLengths(facts));
  return { world: match.scale, stored };
});

/** Length of each bone against its parent's frame. */
function storedLengths(facts: Facts): (from: number, joint: number) => number {
  const { world } = bonePose(facts);
  return (from, joint) => {
    const back = invert(mat4At(world, from));
    return back === null ? 0 : length(origin(multiply(back, mat4At(world, joint))));
  };
}

/** Units of length in metres: the inch and the foot as agreed in 1959, from memory. */
const UNITS: readonly (readonly [name: string, metres: number])[] = [
  ['metres', 1],
  ['centimetres', 0.01],
  ['millimetres', 0.001],
  ['inches', 0.0254],
  ['feet', 0.3048],
];

/** What a ratio of sizes is when one rig was made in another unit. */
export interface UnitGuess {
  /** The units of the approved rig and of this one; null for another power of ten. */
  readonly names: readonly [approved: string, own: string] | null;
}

/** Guesses the units behind a ratio that is off by `near` percent at most; null where it is none. */
export function guessUnits(ratio: number, near: number): UnitGuess | null {
  const isNear = (factor: number): boolean => Math.abs(ratio / factor - 1) * 100 <= near;
  // A length of 1 in the larger unit is written with a larger number in the smaller one.
  for (const [approved, larger] of UNITS)
    for (const [own, smaller] of UNITS)
      if (approved !== own && isNear(larger / smaller)) return { names: [approved, own] };
  const power = Math.round(Math.log10(ratio));
  return power !== 0 && isNear(10 ** power) ? { names: null } : null;
}
