// Source: plane sections of solids as in any handbook of geometry (from memory): a cylinder's circle, a
// cone's r (1 - y/h), an ellipsoid's ellipse with axes a sqrt(1 - (y/b)^2), a torus cut through its
// axis: two circles. What a mesh of so many corners may differ by is derived beside each.
import { describe, expect, test } from 'vitest';
import { Cuts, cutTriangles, planeAt } from '../../src/measure/geometry/cut-triangles.js';
import { type Outline, outlines } from '../../src/measure/geometry/outlines.js';
import type { Vec3 } from '../../src/rig/vec3.js';

/** Float32 positions. Of the lengths compared, or their squares. */
const FLOAT32 = 1e-6;
const UP: Vec3 = [0, 1, 0];

/** A surface of rows by columns of places; columns close, rows close when asked to. */
function cutGrid(
  rows: number,
  columns: number,
  at: (row: number, column: number) => Vec3,
  closeRows: boolean,
  origin: Vec3,
  normal: Vec3,
): { closed: Outline[]; open: Outline[]; cuts: Cuts } {
  const triangles: number[] = [];
  for (let i = 0; i < (closeRows ? rows : rows - 1); i++)
    for (let j = 0; j < columns; j++) {
      const place = (di: number, dj: number): number =>
        ((i + di) % rows) * columns + ((j + dj) % columns);
      triangles.push(place(0, 0), place(1, 0), place(0, 1));
      triangles.push(place(0, 1), place(1, 0), place(1, 1));
    }
  const positions = new Float32Array(3 * rows * columns);
  for (let i = 0; i < rows; i++)
    for (let j = 0; j < columns; j++) positions.set(at(i, j), 3 * (i * columns + j));
  const surface = { positions, triangles: Uint32Array.from(triangles) };
  const count = triangles.length / 3;
  const order = Int32Array.from({ length: count }, (_, i) => i);
  const cuts = new Cuts();
  cutTriangles(surface, order, 0, count, planeAt(origin, normal), cuts);
  return { ...outlines(cuts), cuts };
}

const ring = (radius: number, y: number, share: number, about: Vec3 = [0, 0, 0]): Vec3 => {
  const angle = 2 * Math.PI * share;
  return [about[0] + radius * Math.cos(angle), y, about[2] + radius * Math.sin(angle)];
};

function only(found: readonly Outline[]): Outline {
  const [outline] = found;
  if (outline === undefined || found.length !== 1) throw new Error(`${found.length} outlines`);
  return outline;
}

/** Distance of an outline's middle from the plane's origin. */
const off = (outline: Outline): number => Math.hypot(...outline.centre);

/** A polygon of n corners on a circle: exact area, and a boundary between the inner circle and it. */
function expectPolygon(outline: Outline, radius: number, n: number): void {
  const area = (n / 2) * radius * radius * Math.sin((2 * Math.PI) / n);
  expect(Math.abs(outline.area - area)).toBeLessThan(FLOAT32 * radius * radius * n);
  expect(outline.radius).toBeLessThan(radius * (1 + FLOAT32));
  expect(outline.radius).toBeGreaterThan(radius * Math.cos(Math.PI / n) * (1 - FLOAT32));
}

describe('a cylinder', () => {
  const [n, radius] = [24, 0.3];
  const at = (i: number, j: number): Vec3 => ring(radius, i, j / n, [0.2, 0, -0.1]);

  test.each([0.25, 1.5, 2])('cut across at height %f is a circle about its axis', (y) => {
    const found = only(cutGrid(4, n, at, false, [0.2, y, -0.1], UP).closed);
    // Between the rings the diagonals add a corner on each straight side, which changes nothing.
    expectPolygon(found, radius, n);
    expect(off(found)).toBeLessThan(FLOAT32);
    expect(found.encloses).toBe(true);
    expect(found.away).toBeGreaterThan(radius * Math.cos(Math.PI / n) * (1 - FLOAT32));
  });

  test('cut from a place beside it does not enclose that place', () => {
    const found = only(cutGrid(4, n, at, false, [1.2, 1.5, -0.1], UP).closed);
    expect(found.encloses).toBe(false);
    expect(Math.abs(off(found) - 1)).toBeLessThan(FLOAT32);
    // The nearest corner lies on the line to the axis.
    expect(Math.abs(found.away - (1 - radius))).toBeLessThan(FLOAT32);
  });

  test('cut aslant at 60 degrees is an ellipse of twice the area', () => {
    const normal: Vec3 = [Math.sin(Math.PI / 3), Math.cos(Math.PI / 3), 0];
    const found = only(cutGrid(4, n, at, false, [0.2, 1.5, -0.1], normal).closed);
    const polygon = (n / 2) * radius * radius * Math.sin((2 * Math.PI) / n);
    expect(Math.abs(found.area - 2 * polygon)).toBeLessThan(FLOAT32 * n);
    expect(off(found)).toBeLessThan(FLOAT32);
  });

  test('cut lengthwise, its open ends leave two open runs and nothing closed', () => {
    const { closed, open } = cutGrid(4, n, at, false, [0.2, 1.5, -0.1], [0, 0, 1]);
    expect(closed).toEqual([]);
    expect(open).toHaveLength(2);
    for (const run of open) expect(Math.abs(run.away - radius)).toBeLessThan(0.01 * radius);
  });
});

test.each([0.2, 0.5, 0.9])(
  'a cone cut at %f of its height has the rest of its radius there',
  (share) => {
    const [n, radius, height] = [30, 0.5, 2];
    const at = (i: number, j: number): Vec3 => ring(radius * (1 - i / 8), (height * i) / 8, j / n);
    const found = only(cutGrid(9, n, at, false, [0, share * height, 0], UP).closed);
    // Straight lines to the tip; a diagonal adds a corner that is pulled in by at most the sagitta.
    const expected = radius * (1 - share);
    expect(found.radius).toBeLessThan(expected * (1 + FLOAT32));
    expect(found.radius).toBeGreaterThan(expected * Math.cos(Math.PI / n) * (1 - FLOAT32));
    expect(off(found)).toBeLessThan(1e-3 * expected);
  },
);

test.each([0, 0.35, -0.6])('an ellipsoid cut at height %f has the ellipse of the handbook', (y) => {
  const [rows, columns] = [41, 80];
  const [a, b, c] = [0.4, 1, 0.7];
  const at = (i: number, j: number): Vec3 => {
    const polar = Math.PI * (0.001 + (0.998 * i) / (rows - 1));
    const [x, , z] = ring(Math.sin(polar), 0, j / columns);
    return [a * x, -b * Math.cos(polar), c * z];
  };
  const found = only(cutGrid(rows, columns, at, false, [0, y, 0], UP).closed);
  // On the unit sphere no facet comes nearer the middle than cos of half its diagonal; the ellipsoid is
  // its affine image.
  const near = Math.cos(Math.hypot((0.998 * Math.PI) / (rows - 1), (2 * Math.PI) / columns) / 2);
  const outer = Math.PI * a * c * (1 - y * y);
  const inner = Math.PI * a * c * (near * near - y * y);
  expect(found.area).toBeLessThan(outer * (1 + FLOAT32));
  expect(found.area).toBeGreaterThan(inner * (1 - FLOAT32));
  expect(inner / outer).toBeGreaterThan(0.98);
  // Between the inner and the outer ellipse the middle can shift by no more than their difference.
  expect(off(found)).toBeLessThan((1 - near) * 2);
  expect(found.radius).toBeGreaterThan(a * Math.sqrt(near * near - y * y));
  expect(found.radius).toBeLessThan(c * Math.sqrt(1 - y * y));
});

test('a torus cut through its axis is two circles, of which one encloses the middle of its tube', () => {
  const [around, about, big, small] = [16, 40, 1, 0.25];
  const at = (i: number, j: number): Vec3 => {
    const tube = (2 * Math.PI * i) / around;
    return ring(big + small * Math.cos(tube), small * Math.sin(tube), j / about);
  };
  // The plane z = 0 goes through corners of the mesh: the case where a corner lies on the plane.
  const { closed, open } = cutGrid(around, about, at, true, [big, 0, 0], [0, 0, 1]);
  expect(open).toEqual([]);
  expect(closed).toHaveLength(2);
  const own = closed.filter((outline) => outline.encloses);
  for (const outline of closed) expectPolygon(outline, small, around);
  expect(off(only(own))).toBeLessThan(10 * FLOAT32);
  const other = only(closed.filter((outline) => !outline.encloses));
  expect(Math.abs(off(other) - 2 * big)).toBeLessThan(10 * FLOAT32);
});
