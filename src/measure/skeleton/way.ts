import { add, direction, length, scale, subtract, type Vec3 } from '../../rig/vec3.js';
import type { Axis, Facts } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';

/** A direction of a rig in its bind pose. Unit vector, world space. */
export interface Way {
  readonly along: Vec3;
  /** The joints that it was told from, in order. */
  readonly joints: readonly number[];
}

/** Unit vector along an axis. */
export function vectorOf({ index, sign }: Axis): Vec3 {
  return [index === 0 ? sign : 0, index === 1 ? sign : 0, index === 2 ? sign : 0];
}

/** The way between two of some places. */
export function between(places: readonly Vec3[], from: number, to: number): Vec3 {
  return subtract(places[to] ?? [0, 0, 0], places[from] ?? [0, 0, 0]);
}

/** Shorter sums point nowhere; share of size. */
const LEAST_SHARE = 1e-3;

/** The mean of some ways; null where it is too short to point anywhere. */
export function wayOf(facts: Facts, ways: readonly Vec3[], joints: readonly number[]): Way | null {
  if (ways.length === 0) return null;
  const mean = scale(
    ways.reduce((sum, way) => add(sum, way), [0, 0, 0]),
    1 / ways.length,
  );
  const along = direction(mean);
  const isLong = length(mean) > LEAST_SHARE * size(facts);
  return along !== null && isLong ? { along, joints } : null;
}
