import { LETTERS, type Letter } from '../../rig/letters.js';
import { add, distance, radians, scale, turn, type Vec3 } from '../../rig/vec3.js';
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
 */
export function curlChain(chain: CurlChain, letter: Letter, degrees: number): CurledChain {
  const index = LETTERS.indexOf(letter);
  const own = places(chain, () => OWN_AXES[index], degrees);
  const carried = places(chain, (place) => chain.carried[place]?.[index], degrees);
  let [gap, worst, length] = [0, 0, 0];
  const bound = places(chain, () => OWN_AXES[index], 0);
  carried.forEach((point, place) => {
    const here = distance(point, own[place] ?? point);
    if (here > gap) [gap, worst] = [here, place];
    const [from = point, to = point] = [bound[place - 1] ?? bound[place], bound[place]];
    length += distance(from, to);
  });
  return { letter, degrees, own, carried, drift: length > 0 ? gap / length : 0, worst };
}

/** The curl by which a chain is judged: of the letters that bend it, both ways, that which strays most. */
export function judgedCurl(chain: CurlChain): CurledChain {
  const { up, side } = chain.letters;
  const amount = judgedDegrees(chain.steps.length);
  const all = [up, side].flatMap((letter) =>
    [amount, -amount].map((degrees) => curlChain(chain, letter, degrees)),
  );
  return all.reduce((best, curl) => (curl.drift > best.drift * (1 + TIE) ? curl : best));
}

function places(
  { steps }: CurlChain,
  axisOf: (place: number) => Vec3 | undefined,
  degrees: number,
): Vec3[] {
  const angle = radians(degrees);
  let [axes, at]: [Frame, Vec3] = [OWN_AXES, [0, 0, 0]];
  return steps.map((step, place) => {
    const axis = axisOf(place) ?? [0, 1, 0];
    const before = axes;
    at = add(at, within(before, step.at));
    const turned = (own: Vec3): Vec3 => within(before, within(step.axes, turn(own, axis, angle)));
    axes = [turned(OWN_AXES[0]), turned(OWN_AXES[1]), turned(OWN_AXES[2])];
    return at;
  });
}

/** A vector of a frame, in what the frame's axes are given in. */
function within(axes: Frame, [x, y, z]: Vec3): Vec3 {
  return add(add(scale(axes[0], x), scale(axes[1], y)), scale(axes[2], z));
}
