import { LETTERS, type Letter } from '../../rig/letters.js';
import { distance, radians, type Vec3 } from '../../rig/vec3.js';
import type { Frame } from './frame.js';

/** A chain that can be curled: how its joints stand, and what carried frames would turn about. */
export interface CurlChain {
  /** Each joint as bound in the frame of the one before it, the first in the world. */
  readonly steps: readonly CurlStep[];
  /**
   * For each joint, the X, Y and Z axis that a frame carried along the chain would turn about: unit
   * vectors in the joint's own frame. Those of the first joint are its own, since its turn moves the
   * chain as a whole and bends nothing.
   */
  readonly carried: readonly Frame[];
  /** The letters that bend the chain; the third twists it. */
  readonly letters: BendingLetters;
}

/** A joint in the frame of the joint before it; `axes` keep the scale and skew that are stored. */
export interface CurlStep {
  readonly axes: Frame;
  readonly at: Vec3;
}

/** The letters of the up and the side axis. */
export type BendingLetters = Readonly<Record<'up' | 'side', Letter>>;

/** A chain after every joint was turned about the same letter by the same amount. */
export interface CurledChain {
  readonly letter: Letter;
  /** Of each joint, -180 to 180. */
  readonly degrees: number;
  /** Places of the joints with the frames that are stored, and with carried frames; world space. */
  readonly own: readonly Vec3[];
  readonly carried: readonly Vec3[];
  /** The largest distance between the two / length of the chain. */
  readonly drift: number;
  /** Where in the chain that is. */
  readonly worst: number;
}

/** A curl that is judged turns the last bone of a chain by this much. Degrees. */
export const CURL_DEGREES = 90;
/** Curls that differ by less are told alike, so that both sides of a rig are. Share of the drift. */
const TIE = 1e-4;

/** The axes of a frame in itself, and those of the world. */
export const OWN_AXES: Frame = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** How far each joint of a chain of so many is turned when its curl is judged. Degrees. */
export function judgedDegrees(count: number): number {
  return CURL_DEGREES / Math.max(1, count - 1);
}

/**
 * Turns every joint of a chain about one letter by one amount, as an animator who picks them all
 * does: W'_k = W'_(k-1) L_k R_k, with L_k the joint as bound in the frame above, and R_k the turn in
 * its own frame (glTF 2.0, 3.5.3 Transformations). Once with its own axes, once with carried ones.
 *
 * @param length Of the chain as it is bound, where it is known.
 */
export function curlChain(
  chain: CurlChain,
  letter: Letter,
  degrees: number,
  length = boundLength(chain),
): CurledChain {
  const index = LETTERS.indexOf(letter);
  const own = places(chain, () => OWN_AXES[index], degrees);
  const carried = places(chain, (place) => chain.carried[place]?.[index], degrees);
  let [gap, worst] = [0, 0];
  carried.forEach((point, place) => {
    const here = distance(point, own[place] ?? point);
    if (here > gap) [gap, worst] = [here, place];
  });
  return { letter, degrees, own, carried, drift: length > 0 ? gap / length : 0, worst };
}

/** Length of a chain as it is bound: of its bones together. World units. */
function boundLength(chain: CurlChain): number {
  const bound = places(chain, () => OWN_AXES[0], 0);
  return bound.reduce((sum, to, place) => sum + distance(bound[place - 1] ?? to, to), 0);
}

/** The curl by which a chain is judged: of the letters that bend it, both ways, that which strays most. */
export function judgedCurl(chain: CurlChain): CurledChain {
  const { up, side } = chain.letters;
  const amount = judgedDegrees(chain.steps.length);
  const length = boundLength(chain);
  const all = [up, side].flatMap((letter) =>
    [amount, -amount].map((degrees) => curlChain(chain, letter, degrees, length)),
  );
  return all.reduce((best, curl) => (curl.drift > best.drift * (1 + TIE) ? curl : best));
}

/** Nine numbers a frame, its X, Y and Z axis one after the other: vectors would take three times as long. */
function places(
  { steps }: CurlChain,
  axisOf: (place: number) => Vec3 | undefined,
  degrees: number,
): Vec3[] {
  const angle = radians(degrees);
  let before = Float64Array.from(OWN_AXES.flat());
  let after = new Float64Array(9);
  const [step, turned] = [new Float64Array(9), new Float64Array(9)];
  let at: Vec3 = [0, 0, 0];
  return steps.map(({ axes, at: stepped }, place) => {
    const [x, y, z] = stepped;
    at = [
      at[0] + within(before, 0, x, y, z),
      at[1] + within(before, 1, x, y, z),
      at[2] + within(before, 2, x, y, z),
    ];
    for (let k = 0; k < 3; k++) step.set(axes[k] ?? at, 3 * k);
    turnAxes(axisOf(place) ?? [0, 1, 0], angle, turned);
    multiply3(step, turned, turned);
    multiply3(before, turned, after);
    const earlier = before;
    before = after;
    after = earlier;
    return at;
  });
}

/** The axes of the world turned about a unit vector by an angle in radians, as `turn` does. */
function turnAxes(axis: Vec3, angle: number, out: Float64Array): void {
  const cosine = Math.cos(angle);
  const sine = Math.sin(angle);
  for (let k = 0; k < 3; k++) {
    const next = (k + 1) % 3;
    const last = (k + 2) % 3;
    const along = (axis[k] ?? 0) * (1 - cosine);
    out[3 * k + k] = cosine + (axis[k] ?? 0) * along;
    out[3 * k + next] = (axis[last] ?? 0) * sine + (axis[next] ?? 0) * along;
    out[3 * k + last] = -(axis[next] ?? 0) * sine + (axis[last] ?? 0) * along;
  }
}

/** a x b, column by column. `out` may be b. */
function multiply3(a: Float64Array, b: Float64Array, out: Float64Array): void {
  for (let k = 0; k < 9; k += 3) {
    const x = b[k] ?? 0;
    const y = b[k + 1] ?? 0;
    const z = b[k + 2] ?? 0;
    for (let row = 0; row < 3; row++) out[k + row] = within(a, row, x, y, z);
  }
}

/** One number of a vector of a frame, in what the frame's axes are given in. */
function within(axes: Float64Array, row: number, x: number, y: number, z: number): number {
  return (axes[row] ?? 0) * x + (axes[row + 3] ?? 0) * y + (axes[row + 6] ?? 0) * z;
}
