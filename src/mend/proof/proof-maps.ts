import { invert } from '../../rig/mat4.js';
import { NOISE } from './proof-limits.js';
import type { PartPair } from './proof-movers.js';
import type { Pair } from './proof-seen.js';
import { lengthAt, sameNumbers } from './proof-shape.js';
import { eigenvalues } from './proof-turns.js';
import { blend } from './proof-vertices.js';

/**
 * What a mend made of the shape of a part, vertex by vertex: with M before and N after the blended matrices of
 * a vertex as stored, its place p, and what a morph target adds to that, are near to A p and A d afterwards,
 * where A = N^-1 M, since the stored pose looks as it did. Whatever A is, it is only a bound that is looser
 * for a worse one. The rest is told apart: it is what rounding left, or what the mend did besides.
 */
export interface PartMaps {
  /** A of each vertex: three rows, column by column, twelve numbers. */
  readonly maps: Float64Array;
  /** How far a vertex is at most from where its map takes it, in any pose. Units of the mesh. */
  readonly rest: Float64Array;
  /**
   * How far a direction n that counts is at most from what its map makes of it, led back by that map, as a
   * share of the direction. With m the parts of n, which are its base and what each target adds at its
   * weight, and r what is left of each, that sum of r is at most the largest |r| / |m| times the sum of |m|.
   * A direction counts only where it is more than `NOISE` of this sum, before or after, so that the share is
   * no larger than the largest |r| / |m| over `NOISE`, whatever the targets weigh.
   */
  readonly blur: Float64Array;
}

/**
 * @param stored W B of each slot in the stored pose, before and after.
 * @param weights The most that any pose weighs each morph target, without its sign.
 */
export function partMaps(
  pair: PartPair,
  stored: Pair<Float64Array>,
  weights: Float64Array,
): PartMaps {
  const { before, after } = pair;
  const count = before.vertexCount;
  const maps = new Float64Array(12 * count);
  const [rest, blur] = [new Float64Array(count), new Float64Array(count)];
  const [m, n] = [new Float64Array(12), new Float64Array(12)];
  const places = placeLists(pair);
  const directions = (['normals', 'tangents'] as const).flatMap((key) => directionLists(pair, key));
  for (let vertex = 0; vertex < count; vertex++) {
    blend({ part: before, matrices: stored[0] }, vertex, m);
    blend({ part: after, matrices: stored[1] }, vertex, n);
    const map = maps.subarray(12 * vertex, 12 * vertex + 12);
    mapBetween(m, n, map);
    rest[vertex] = restOf(places, map, vertex, weights);
    // Once NaN it stays so.
    for (const lists of directions)
      blur[vertex] = Math.max(blurOf(lists, map, vertex), blur[vertex] ?? 0);
  }
  return { maps, rest, blur };
}

/**
 * N^-1 M: exactly the identity where both are the same, so that nothing is told of what is as it was, and the
 * identity, too, where N leaves no way back. All three rows, column by column.
 */
export function mapBetween(m: Float64Array, n: Float64Array, out: Float64Array): void {
  const whole = new Float64Array(16);
  for (let at = 0; at < 12; at++) whole[4 * Math.floor(at / 3) + (at % 3)] = n[at] ?? 0;
  whole[15] = 1;
  const back = sameNumbers(m, n) ? null : invert(whole);
  if (back === null) {
    out.fill(0);
    out[0] = out[4] = out[8] = 1;
    return;
  }
  for (let column = 0; column < 4; column++)
    for (let row = 0; row < 3; row++) {
      let sum = column === 3 ? (back[12 + row] ?? 0) : 0;
      for (let i = 0; i < 3; i++) sum += (back[4 * i + row] ?? 0) * (m[3 * column + i] ?? 0);
      out[3 * column + row] = sum;
    }
}

/** N A: what the matrix after makes of a place before. Three rows, column by column. */
export function carry(n: Float64Array, maps: Float64Array, from: number, out: Float64Array): void {
  for (let column = 0; column < 4; column++) {
    const at = from + 3 * column;
    const [x, y, z] = [maps[at] ?? 0, maps[at + 1] ?? 0, maps[at + 2] ?? 0];
    for (let row = 0; row < 3; row++)
      out[3 * column + row] =
        (n[row] ?? 0) * x +
        (n[row + 3] ?? 0) * y +
        (n[row + 6] ?? 0) * z +
        (column === 3 ? (n[row + 9] ?? 0) : 0);
  }
}

/** What a part has of one kind before and after: its base, and what each target adds. */
interface Lists {
  readonly stride: 3 | 4;
  readonly base: Pair<Float32Array>;
  readonly targets: readonly Pair<Float32Array | null>[];
}

function placeLists({ before, after, looks }: PartPair): Lists {
  const targets = (looks?.[0].targets ?? []).map((target, at) => {
    const other = looks?.[1].targets[at]?.positions ?? null;
    return [target.positions, other] as const;
  });
  return { stride: 3, base: [before.positions, after.positions], targets };
}

function directionLists({ looks }: PartPair, key: 'normals' | 'tangents'): Lists[] {
  const [a, b] = looks ?? [];
  if (a?.[key] == null || b?.[key] == null) return [];
  const targets = a.targets.map(
    (target, at) => [target[key], b.targets[at]?.[key] ?? null] as const,
  );
  return [{ stride: key === 'normals' ? 3 : 4, base: [a[key], b[key]], targets }];
}

/** With the weights that are most, and with each target alone. */
function restOf(
  { base: [from, to], targets }: Lists,
  map: Float64Array,
  vertex: number,
  weights: Float64Array,
): number {
  const place = off(map, 1, from, to, 3 * vertex, 1);
  let [most, sum] = [0, 0];
  targets.forEach(([deltas, others], target) => {
    if (deltas === null && others === null) return;
    const rest = off(map, 1, deltas, others, 3 * vertex, 0);
    most = Math.max(most, rest);
    sum += (weights[target] ?? 0) * rest;
  });
  return place + Math.max(most, sum);
}

/** Of the normal or the tangent of a vertex. What A makes of it has the length of what is stored with it. */
function blurOf(
  { stride, base: [from, to], targets }: Lists,
  map: Float64Array,
  vertex: number,
): number {
  const at = stride * vertex;
  // Another handedness is another direction.
  if (stride === 4 && !Object.is(from[at + 3], to[at + 3])) return Infinity;
  const lengths = lengthAt(to, at) / off(map, 1, from, null, at, 0);
  const share = lengths > 0 && Number.isFinite(lengths) ? lengths : 1;
  const { least, most } = eigenvalues(map, 0, -1, 3);
  const [shortest, longest] = [share * Math.sqrt(least), share * Math.sqrt(most)];
  const partOf = (part: Numbers, other: Numbers, index: number): number => {
    const rest = off(map, share, part, other, index, 0);
    if (rest === 0) return 0;
    // Led back, the rest is no longer than this, and the part after is no shorter than over the longest.
    const back = rest / shortest;
    return Math.max(back / lengthAt(part, index), (back * longest) / lengthAt(other, index));
  };
  const own = partOf(from, to, at);
  let worst = own;
  let isWhole = true;
  for (const [deltas, others] of targets) {
    const added = 3 * vertex;
    if (lengthAt(deltas, added) === 0 && lengthAt(others, added) === 0) continue;
    isWhole = false;
    worst = Math.max(worst, partOf(deltas, others, added));
  }
  // Without targets nothing is taken from the base.
  return isWhole ? own : worst / NOISE;
}

type Numbers = Float32Array | null;

/** How far three numbers of a list are from a share of what a map makes of those of another; null for zeros. */
function off(
  map: Float64Array,
  share: number,
  from: Numbers,
  to: Numbers,
  at: number,
  w: 0 | 1,
): number {
  const [x, y, z] = from === null ? ZEROS : [from[at] ?? 0, from[at + 1] ?? 0, from[at + 2] ?? 0];
  let square = 0;
  for (let row = 0; row < 3; row++) {
    const mapped =
      (map[row] ?? 0) * x +
      (map[row + 3] ?? 0) * y +
      (map[row + 6] ?? 0) * z +
      w * (map[row + 9] ?? 0);
    square += ((to?.[at + row] ?? 0) - share * mapped) ** 2;
  }
  return Math.sqrt(square);
}

const ZEROS = [0, 0, 0] as const;
