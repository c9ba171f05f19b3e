import type { Vec3 } from './vec3.js';

/** Places nearer than this along an axis are one, relative to the largest coordinate: float noise. */
const ALIKE = 1e-5;

/**
 * The rank of each of some places when they are put in order along x, then y, then z; places that are
 * the same share a rank. Coordinates are sorted and divided where two neighbours lie apart, since rounding
 * to a grid would divide two that noise moves across a line of it.
 */
export function placeRanks(places: readonly Vec3[]): number[] {
  // One after the other: a call takes no hundred thousand arguments, and siblings can be more.
  const largest = places.flat().reduce((most, part) => Math.max(most, Math.abs(part)), 0);
  const axes = [0, 1, 2].map((axis) =>
    bandsOf(
      places.map((place) => place[axis] ?? 0),
      ALIKE * largest,
    ),
  );
  const compare = (a: number, b: number): number =>
    axes.map((bands) => (bands[a] ?? 0) - (bands[b] ?? 0)).find((step) => step !== 0) ?? 0;
  const order = [...places.keys()].sort(compare);
  const ranks = places.map(() => 0);
  order.forEach((place, rank) => {
    const before = order[rank - 1];
    const isSame = before !== undefined && compare(before, place) === 0;
    ranks[place] = isSame ? (ranks[before] ?? 0) : rank;
  });
  return ranks;
}

/** The number of the band that each value is in; gaps divide bands. */
function bandsOf(values: readonly number[], gap: number): number[] {
  const order = [...values.keys()].sort((a, b) => (values[a] ?? 0) - (values[b] ?? 0));
  const bands = values.map(() => 0);
  let band = 0;
  order.forEach((index, rank) => {
    const before = values[order[rank - 1] ?? index] ?? 0;
    if ((values[index] ?? 0) - before > gap) band++;
    bands[index] = band;
  });
  return bands;
}
