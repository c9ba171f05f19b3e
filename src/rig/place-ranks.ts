import type { Vec3 } from './vec3.js';

/** Places nearer than this along an axis are one, relative to the largest coordinate: float noise. */
const ALIKE = 1e-5;

/**
 * Where each of some places comes when they are put in order along x, then y, then z; places that are
 * one share a number. Coordinates are sorted and parted where two neighbours lie apart, since rounding
 * to a grid would part two that noise moves across a line of it.
 */
export function placeRanks(places: readonly Vec3[]): number[] {
  const largest = Math.max(0, ...places.map((place) => Math.max(...place.map(Math.abs))));
  const axes = [0, 1, 2].map((axis) =>
    bandsOf(
      places.map((place) => place[axis] ?? 0),
      ALIKE * largest,
    ),
  );
  const order = places.map((_, at) => at);
  const compare = (a: number, b: number): number => {
    for (const bands of axes) {
      const difference = (bands[a] ?? 0) - (bands[b] ?? 0);
      if (difference !== 0) return difference;
    }
    return 0;
  };
  order.sort(compare);
  const ranks = places.map(() => 0);
  order.forEach((at, place) => {
    const before = order[place - 1];
    const isOne = before !== undefined && compare(before, at) === 0;
    ranks[at] = isOne ? (ranks[before] ?? 0) : place;
  });
  return ranks;
}

/** The number of the band that each value is in, bands parted by gaps. */
function bandsOf(values: readonly number[], gap: number): number[] {
  const order = values.map((_, at) => at).sort((a, b) => (values[a] ?? 0) - (values[b] ?? 0));
  const bands = values.map(() => 0);
  let band = 0;
  order.forEach((at, place) => {
    const before = values[order[place - 1] ?? at] ?? 0;
    if ((values[at] ?? 0) - before > gap) band++;
    bands[at] = band;
  });
  return bands;
}
