import type { Facts } from '../../measure/facts.js';
import { differentTimes, sampleTimes } from '../../measure/pose/clip-sampling.js';
import { boneAtRest, type Moved, placeAt, runAt } from '../../measure/pose/stretch.js';
import { compose, invert, transformPoint } from '../../rig/mat4.js';
import { distance, length, scale, type Vec3, vec3At } from '../../rig/vec3.js';
import { follow, type SplineKeys } from '../reframe/resample.js';
import { movesInSteps } from '../reframe/steps.js';

/** What becomes of the translation keys of a joint in one clip. */
export type Held =
  /** They are taken off: what the node stores, `rest`, is the rest place. */
  | { readonly kind: 'off'; readonly rest: Vec3 }
  /** The same keys with other values. */
  | { readonly kind: 'values'; readonly values: Float32Array }
  /** Other keys. */
  | { readonly kind: 'curve'; readonly keys: Pick<SplineKeys, 'times' | 'translation'> };

/** A joint that keeps its distance from its parent joint in one clip. */
export interface HeldBone {
  readonly held: Held;
  /** How far this moves the joint, at most. World units. */
  readonly shift: number;
}

/** A curve may be off the rest length by this share of what the limit is a share of. */
const LOOSE = 1e-3;

/** Keys are taken off where the joint then moves farther by no more than this share. */
const HARDLY_MORE = 0.1;

/** What differs by less is stored as it was. Share of the bone. */
const SAME = 1e-4;

/** A shorter way has no direction. Share of the bone. */
const NOWHERE = 1e-6;

/**
 * Keeps the bone to a joint at its rest length in a clip. The joint goes to the nearest place that is so
 * far from its parent joint, on the line between the two, since no other place shows less; turning the
 * parent towards the joint would turn its flesh as well. Where a joint that rests in its place shows hardly
 * more, it does that. Null where no keys do it.
 */
export function heldBone(facts: Facts, moved: Moved): HeldBone | null {
  const { rig } = facts;
  const bone = boneAtRest(facts, moved.joint);
  if (bone === null) return null;
  const { place: rest, unit } = bone;
  const [reach, reference] = [length(rest), bone.reference / unit];
  const nearest = (place: Vec3): Vec3 => {
    const far = length(place);
    return far > NOWHERE * reference ? scale(place, reach / far) : rest;
  };
  const channels = [...moved.channels.values()].flat();
  const times = sampleTimes(channels);
  let [least, atRest] = [0, 0];
  for (const time of times) {
    const place = placeAt(rig, moved, time);
    least = Math.max(least, distance(place, nearest(place)));
    atRest = Math.max(atRest, distance(place, rest));
  }
  const spacers = moved.run.slice(0, -1);
  const [own] = moved.channels.get(moved.run.at(-1) ?? -1) ?? [];
  const isAlone = own !== undefined && moved.channels.size === 1;
  const stored = placeAt(rig, { ...moved, channels: new Map() }, 0);
  const isHardlyMore = atRest <= (1 + HARDLY_MORE) * least + SAME * reference;
  if (isAlone && isHardlyMore && distance(stored, rest) <= SAME * reference)
    return {
      held: { kind: 'off', rest: vec3At(rig.nodes.translation, own.node) },
      shift: unit * atRest,
    };
  const shift = unit * least;
  const wanted = (time: number): Vec3 => {
    const target = nearest(placeAt(rig, moved, time));
    const back = invert(runAt(rig, { ...moved, run: spacers }, time));
    return back === null ? target : transformPoint(back, target);
  };
  if (isAlone && own.interpolation !== 'CUBICSPLINE') {
    const values = Float32Array.from([...own.times].flatMap(wanted));
    const made = { ...moved, channels: new Map([[own.node, [{ ...own, values }]]]) };
    const isHeld = times.every(
      (time) => Math.abs(length(placeAt(rig, made, time)) - reach) <= LOOSE * reference,
    );
    if (isHeld) return { held: { kind: 'values', values }, shift };
  }
  // No spline follows steps.
  if (channels.some(movesInSteps)) return null;
  const motion = (time: number) => compose(wanted(time), [0, 0, 0, 1], [1, 1, 1]);
  const keys = follow(motion, differentTimes(channels), LOOSE * reference, 1);
  return keys === null ? null : { held: { kind: 'curve', keys }, shift };
}
