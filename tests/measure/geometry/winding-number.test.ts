import { describe, expect, test } from 'vitest';
import { sumSolidAngles } from '../../../src/measure/geometry/solid-angle.js';
import { joinSurface, type Surface } from '../../../src/measure/geometry/surface.js';
import { gridOf } from '../../../src/measure/geometry/surface-grid.js';
import { INSIDE, SIDE_ONLY, windingNumbers } from '../../../src/measure/geometry/winding-number.js';
import type { Box } from '../../../src/rig/box.js';
import type { Vec3 } from '../../../src/rig/vec3.js';

/** A tetrahedron, its faces wound outward. */
const corners: readonly Vec3[] = [
  [0, 0, 0],
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];
const faces = [0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3];
const unitBox: Box = { min: [0, 0, 0], max: [1, 1, 1] };
const inside: Vec3 = [0.2, 0.2, 0.2];

const surfaceOf = (points: readonly Vec3[], triangles: readonly number[]): Surface => ({
  positions: Float32Array.from(points.flat()),
  triangles: Uint32Array.from(triangles),
});

const numberAt = (surface: Surface, box: Box, point: Vec3): number =>
  windingNumbers(gridOf(surface, box), point)[0] ?? Number.NaN;

describe('joining parts', () => {
  const positions = [Float32Array.from(corners.flat()), Float32Array.from(corners.flat())];
  const part = { triangles: Uint16Array.from(faces) };

  test('two parts at one place wind twice', () => {
    expect(numberAt(joinSurface([part, part], positions), unitBox, inside)).toBeCloseTo(2, 10);
  });

  test('one turned round undoes the other', () => {
    const joined = joinSurface([part, part], positions, (index) => index === 1);
    expect(numberAt(joined, unitBox, inside)).toBeCloseTo(0, 10);
  });

  test('points and lines add nothing', () => {
    const joined = joinSurface([{ triangles: null }, part], positions);
    expect(joined.triangles).toHaveLength(faces.length);
    expect(numberAt(joined, unitBox, inside)).toBeCloseTo(1, 10);
  });

  test('no part at all is outside everywhere', () => {
    expect(numberAt(joinSurface([], []), { min: [0, 0, 0], max: [0, 0, 0] }, inside)).toBe(0);
  });
});

describe('the running product of many triangles', () => {
  test('counts its full turns: a heap of ten solids winds ten times', () => {
    const heap = Array.from({ length: 10 }, () => faces).flat();
    const surface = surfaceOf(corners, heap);
    const order = Int32Array.from({ length: heap.length / 3 }, (_, i) => i);
    const angle = sumSolidAngles(surface, order, 0, order.length, ...inside);
    expect(angle / (4 * Math.PI)).toBeCloseTo(10, 10);
    const back = heap.map((_, i) => heap[i % 3 === 0 ? i : i % 3 === 1 ? i + 1 : i - 1] ?? 0);
    const other = sumSolidAngles(surfaceOf(corners, back), order, 0, order.length, ...inside);
    expect(other / (4 * Math.PI)).toBeCloseTo(-10, 10);
  });

  test('does not shrink to nothing over thousands of triangles that fill much of the view', () => {
    const many = Array.from({ length: 3000 }, () => faces).flat();
    const surface = surfaceOf(corners, many);
    const order = Int32Array.from({ length: many.length / 3 }, (_, i) => i);
    const angle = sumSolidAngles(surface, order, 0, order.length, ...inside);
    expect(Math.abs(angle / (4 * Math.PI) / 3000 - 1)).toBeLessThan(1e-9);
  });
});

describe('bad input gives a number', () => {
  const big = corners.map((p): Vec3 => [p[0] * 1e30, p[1] * 1e30, p[2] * 1e30]);

  test('as large as 1e30: the same as at one metre', () => {
    const box: Box = { min: [0, 0, 0], max: [1e30, 1e30, 1e30] };
    expect(numberAt(surfaceOf(big, faces), box, [2e29, 2e29, 2e29])).toBeCloseTo(1, 5);
    expect(numberAt(surfaceOf(big, faces), box, [9e29, 9e29, 9e29])).toBeCloseTo(0, 5);
  });

  test('triangles without area change nothing', () => {
    const flat = [...faces, 0, 0, 0, 1, 1, 2, 0, 0, 3];
    expect(numberAt(surfaceOf(corners, flat), unitBox, inside)).toBeCloseTo(1, 10);
    expect(numberAt(surfaceOf(corners, [0, 0, 1]), unitBox, inside)).toBeCloseTo(0, 10);
  });

  test.each([
    ['a corner', corners[1]],
    ['an edge', [0.5, 0, 0]],
    ['a face', [0.25, 0.25, 0]],
  ] as const)('a point on %s gives a finite number between outside and inside', (_, point) => {
    const found = numberAt(surfaceOf(corners, faces), unitBox, point as Vec3); // every row has one
    expect(Number.isFinite(found)).toBe(true);
    expect(found).toBeGreaterThan(-1.01);
    expect(found).toBeLessThan(1.01);
  });

  test('one triangle, and all corners in one spot', () => {
    expect(numberAt(surfaceOf(corners, [1, 2, 3]), unitBox, inside)).toBeGreaterThan(0.1);
    const spot = surfaceOf(
      [
        [1, 1, 1],
        [1, 1, 1],
        [1, 1, 1],
      ],
      [0, 1, 2],
    );
    expect(numberAt(spot, { min: [1, 1, 1], max: [1, 1, 1] }, [1, 1, 1])).toBe(0);
  });
});

test('a look for the side alone tells the same sides as a close one, and a number near it', () => {
  // A lidless cube of many small squares: its numbers run from 1 to 0 through the open side.
  const cuts = 24;
  const points: Vec3[] = [];
  const triangles: number[] = [];
  const at = (p: Vec3): number => points.push(p) - 1;
  for (let axis = 0; axis < 3; axis++)
    for (const high of axis === 1 ? [0] : [0, 1])
      for (let i = 0; i < cuts * cuts; i++) {
        const [u, v] = [Math.floor(i / cuts), i % cuts];
        const corner = (du: number, dv: number): number => {
          const p: [number, number, number] = [high, high, high];
          p[(axis + 1) % 3] = (u + du) / cuts;
          p[(axis + 2) % 3] = (v + dv) / cuts;
          return at(p);
        };
        const [a, b, c, d] = [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)];
        triangles.push(...(high === 1 ? [a, b, c, a, c, d] : [a, c, b, a, d, c]));
      }
  const grid = gridOf(surfaceOf(points, triangles), unitBox);
  const places = Array.from({ length: 2000 }, (_, i): Vec3 => {
    const [x, y, z] = [i % 10, Math.floor(i / 10) % 20, Math.floor(i / 200)];
    return [0.047 + x / 10, -0.47 + y / 10.3, 0.043 + z / 10];
  }).flat();
  const close = windingNumbers(grid, places);
  const rough = windingNumbers(grid, places, SIDE_ONLY);
  expect(close.some((number) => number > 0.9) && close.some((number) => number < 0.1)).toBe(true);
  close.forEach((number, i) => {
    expect(Math.abs((rough[i] ?? Number.NaN) - number)).toBeLessThan(0.1);
    if (Math.abs(number - INSIDE) > 0.02)
      expect((rough[i] ?? Number.NaN) > INSIDE).toBe(number > INSIDE);
  });
});
