// Source: closed forms of Laplace's equation, from memory of any textbook of potential theory: linear between two
// ends of a strip; x y and x^2 - y^2 in the plane; the logarithm of the radius between two circles; and the
// maximum principle, by which a solution stays between the least and the most of its boundary.
import { describe, expect, it, test } from 'vitest';
import { rowsOf } from '../../src/measure/geometry/rows.js';
import { edgeStrengths } from '../../src/mend/weights/edge-strengths.js';
import type { Gap, Shares } from '../../src/mend/weights/gaps.js';
import { harmonicFill } from '../../src/mend/weights/harmonic-fill.js';

type Triangle = readonly [number, number, number];

const [ONE, OTHER] = [3, 8];

/** A flat mesh whose rim has the weights of a known function, and what the fill makes of the rest. */
function fillFlat(
  points: readonly (readonly [number, number])[],
  triangles: readonly Triangle[],
  known: (point: readonly [number, number]) => number,
  isRim: (point: readonly [number, number]) => boolean,
): { readonly point: readonly [number, number]; readonly shares: Shares | null }[] {
  const corners = Int32Array.from(triangles.flat());
  const { first, order } = rowsOf(corners, points.length);
  const net = {
    positions: Float32Array.from(points.flatMap(([x, y]) => [x, y, 0])),
    corners,
    first,
    triangles: order.map((corner) => Math.floor(corner / 3)),
  };
  const open = [...points.keys()].filter((at) => !isRim(points[at] ?? [0, 0]));
  const numberOf = new Map(open.map((at, number) => [at, number]));
  const strengths = edgeStrengths(net, open);
  const gaps = open.map(
    (at): Gap => ({
      kept: new Map(),
      edges: [...(strengths.get(at) ?? [])].map(([other, strength]) => {
        const share = known(points[other] ?? [0, 0]);
        const rim = new Map([
          [ONE, share],
          [OTHER, 1 - share],
        ]);
        return { to: numberOf.get(other) ?? rim, strength };
      }),
    }),
  );
  return harmonicFill(gaps).map((shares, number) => ({
    point: points[open[number] ?? -1] ?? [0, 0],
    shares,
  }));
}

/** Rows of points, each cell cut along one diagonal or the other. */
function grid(
  columns: number,
  rows: number,
  placeOf: (column: number, row: number) => readonly [number, number],
  isTurned: (column: number, row: number) => boolean,
): [points: (readonly [number, number])[], triangles: Triangle[]] {
  const points = Array.from({ length: columns * rows }, (_, at) =>
    placeOf(at % columns, Math.floor(at / columns)),
  );
  const triangles: Triangle[] = [];
  for (let row = 0; row + 1 < rows; row++)
    for (let column = 0; column + 1 < columns; column++) {
      const at = row * columns + column;
      const [a, b, c, d] = [at, at + 1, at + columns + 1, at + columns];
      if (isTurned(column, row)) triangles.push([a, b, d], [b, c, d]);
      else triangles.push([a, b, c], [a, c, d]);
    }
  return [points, triangles];
}

/** Weight: 32-bit places and the least strength of an edge. */
const EXACT = 2e-5;

describe('harmonic weights', () => {
  test.each([2, 3, 6])('are linear along a strip of %i rows, however it is cut', (rows) => {
    const [points, triangles] = grid(
      21,
      rows,
      (column, row) => [(column / 20) ** 1.7, 0.05 * row],
      (column, row) => (7 * column + 3 * row) % 5 < 2,
    );
    const filled = fillFlat(
      points,
      triangles,
      ([x]) => x,
      ([x]) => x === 0 || x === 1,
    );
    expect(filled).toHaveLength(19 * rows);
    const off = filled.map(({ point: [x], shares }) => Math.abs((shares?.get(ONE) ?? 9) - x));
    expect(Math.max(...off)).toBeLessThan(EXACT);
  });

  test.each<[string, (point: readonly [number, number]) => number]>([
    ['x y', ([x, y]) => (1 + x * y) / 2],
    ['x^2 - y^2', ([x, y]) => (1 + x * x - y * y) / 2],
  ])('are %s on a square whose sides have it', (_, known) => {
    const [points, triangles] = grid(
      17,
      17,
      (column, row) => [column / 8 - 1, row / 8 - 1],
      (column, row) => (column + row) % 2 === 0,
    );
    const filled = fillFlat(points, triangles, known, ([x, y]) => Math.max(x * x, y * y) === 1);
    expect(filled).toHaveLength(15 * 15);
    const off = filled.map(({ point, shares }) => Math.abs((shares?.get(ONE) ?? 9) - known(point)));
    expect(Math.max(...off)).toBeLessThan(EXACT);
  });

  it('are the logarithm of the radius between two circles, nearer the finer the mesh', () => {
    const known = ([x, y]: readonly [number, number]): number =>
      Math.log(Math.hypot(x, y)) / Math.log(4);
    const worst = [12, 24].map((steps) => {
      const around = 6 * steps;
      const [points, triangles] = grid(
        around,
        steps + 1,
        (column, row) => {
          const [radius, turn] = [1 + (3 * row) / steps, (2 * Math.PI * column) / around];
          return [radius * Math.cos(turn), radius * Math.sin(turn)];
        },
        (column) => column % 2 === 0,
      );
      // The ring is closed by one more column of cells.
      for (let row = 0; row < steps; row++) {
        const [a, b] = [row * around + around - 1, row * around];
        triangles.push([a, b, a + around], [b, b + around, a + around]);
      }
      const filled = fillFlat(points, triangles, known, ([x, y]) => {
        const radius = Math.hypot(x, y);
        return radius < 1 + 1e-9 || radius > 4 - 1e-9;
      });
      const off = filled.map(({ point, shares }) =>
        Math.abs((shares?.get(ONE) ?? 9) - known(point)),
      );
      return Math.max(...off);
    });
    const [coarse = 9, fine = 9] = worst;
    expect(coarse).toBeLessThan(0.01);
    expect(fine).toBeLessThan(coarse / 3);
  });

  it('sum to 1 and stay between the least and the most of the rim, past blunt angles too', () => {
    const [points, triangles] = grid(
      12,
      9,
      // Sheared so far that most triangles are blunt.
      (column, row) => [column + 2.7 * row, 0.3 * row + 0.1 * Math.sin(5 * column)],
      () => false,
    );
    const known = ([x, y]: readonly [number, number]): number => 0.2 + 0.6 * ((7 * x + 3 * y) % 1);
    const rim = new Set(
      points.filter((_, at) => at % 12 === 0 || at % 12 === 11 || at < 12 || at >= 96),
    );
    const filled = fillFlat(points, triangles, known, (point) => rim.has(point));
    expect(filled).toHaveLength(10 * 7);
    const wrong = filled.filter(({ shares }) => {
      const [one, other] = [shares?.get(ONE) ?? -1, shares?.get(OTHER) ?? -1];
      return !(Math.abs(one + other - 1) < 1e-9 && one >= 0.2 - 1e-6 && one <= 0.8 + 1e-6);
    });
    expect(wrong).toEqual([]);
  });
});
