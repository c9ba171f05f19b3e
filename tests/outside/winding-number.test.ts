// Sources: A. van Oosterom and J. Strackee, "The solid angle of a plane triangle", 1983; A. Jacobson,
// L. Kavan and O. Sorkine-Hornung, "Robust inside-outside segmentation using generalized winding
// numbers", 2013: 1 inside, 0 outside, -1 when inside out, the share of the sphere for open surfaces.
// Held against L'Huilier's theorem for the excess of a spherical triangle and the solid angle of a
// rectangle seen from above its middle, 4 asin(ab / sqrt((a^2 + 4d^2)(b^2 + 4d^2))), as in any handbook.
// All from memory.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { build, mainFile } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { bindMesh } from '../../src/measure/geometry/bind-mesh.js';
import { sumSolidAngles } from '../../src/measure/geometry/solid-angle.js';
import { joinSurface } from '../../src/measure/geometry/surface.js';
import { gridOf } from '../../src/measure/geometry/surface-grid.js';
import { windingNumbers } from '../../src/measure/geometry/winding-number.js';
import {
  cross,
  direction,
  distance,
  dot,
  subtract,
  type Vec3,
  vec3At,
} from '../../src/rig/vec3.js';
import { factsOf } from '../support/facts-of.js';

type Triangle = readonly [Vec3, Vec3, Vec3];

/** What the expansion of far cells may be off by. Of the whole sphere. */
const FAST = 0.02;
/** Sums and roots of float64, of thin triangles at worst. Steradians. */
const ROUNDING = 1e-6;

function winding(triangles: readonly Triangle[], point: Vec3): number {
  const all = triangles.flat();
  const edge = (pick: (...values: number[]) => number): Vec3 => [
    pick(...all.map((p) => p[0])),
    pick(...all.map((p) => p[1])),
    pick(...all.map((p) => p[2])),
  ];
  const positions = Float32Array.from(triangles.flat(2));
  const order = Uint32Array.from({ length: all.length }, (_, corner) => corner);
  const box = { min: edge(Math.min), max: edge(Math.max) };
  const grid = gridOf({ positions, triangles: order }, box);
  return windingNumbers(grid, point)[0] ?? Number.NaN;
}

/** Six times the signed volume between a triangle and a point. */
const sixfold = ([a, b, c]: Triangle, from: Vec3): number =>
  dot(subtract(a, from), cross(subtract(b, from), subtract(c, from)));

/** Signed excess of the spherical triangle by L'Huilier's theorem: shares no formula with the measure. */
function excess(corners: Triangle, from: Vec3): number {
  const views = corners.map((p) => direction(subtract(p, from)) ?? from);
  const side = (i: number): number => {
    const [u, v] = [views[i] ?? from, views[(i + 1) % 3] ?? from];
    return 2 * Math.asin(Math.min(1, distance(u, v) / 2));
  };
  const [x, y, z] = [side(0), side(1), side(2)];
  const s = (x + y + z) / 2;
  const tangents = [s, s - x, s - y, s - z].map((angle) => Math.tan(angle / 2));
  const product = tangents.reduce((all, one) => all * one, 1);
  return Math.sign(sixfold(corners, from)) * 4 * Math.atan(Math.sqrt(Math.max(0, product)));
}

/** A box from 0 to `edge`, each face cut in `cuts` squared squares; faces look out. */
function cube(edge: number, cuts = 1, at: Vec3 = [0, 0, 0]): Triangle[] {
  const faces: Triangle[] = [];
  for (let axis = 0; axis < 3; axis++)
    for (const high of [false, true])
      for (let i = 0; i < cuts; i++)
        for (let j = 0; j < cuts; j++) {
          const corner = (u: number, v: number): Vec3 => {
            const p = [0, 0, 0];
            p[axis] = high ? edge : 0;
            p[(axis + 1) % 3] = (edge * u) / cuts;
            p[(axis + 2) % 3] = (edge * v) / cuts;
            return [at[0] + (p[0] ?? 0), at[1] + (p[1] ?? 0), at[2] + (p[2] ?? 0)];
          };
          const [a, c] = [corner(i, j), corner(i + 1, j + 1)];
          const [b, d] = high
            ? [corner(i + 1, j), corner(i, j + 1)]
            : [corner(i, j + 1), corner(i + 1, j)];
          faces.push([a, b, c], [a, c, d]);
        }
  return faces;
}

const turnedRound = (triangles: readonly Triangle[]): Triangle[] =>
  triangles.map(([a, b, c]): Triangle => [a, c, b]);

// Whole steps of a fine lattice: doubles drawn at large crowd about 0.
const coordinate = fc.integer({ min: -1000, max: 1000 }).map((step) => step / 1000);
const point = fc.tuple(coordinate, coordinate, coordinate);
const SEEDED = { seed: 1983, numRuns: 300 };

function solidAngle(corners: Triangle, [x, y, z]: Vec3): number {
  const surface = {
    positions: Float32Array.from(corners.flat()),
    triangles: Uint32Array.of(0, 1, 2),
  };
  return sumSolidAngles(surface, Int32Array.of(0), 0, 1, x, y, z);
}

describe('one triangle', () => {
  test('that covers an octant fills an eighth of the sphere', () => {
    const octant: Triangle = [
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, 1],
    ];
    expect(solidAngle(octant, [0, 0, 0])).toBeCloseTo(Math.PI / 2, 12);
    expect(winding([octant], [0, 0, 0])).toBeCloseTo(1 / 8, 12);
    expect(winding(turnedRound([octant]), [0, 0, 0])).toBeCloseTo(-1 / 8, 12);
  });

  test('two of them that make a rectangle fill what the handbook gives for it', () => {
    const [a, b, d] = [0.7, 1.9, 0.4];
    const [x, y] = [a / 2, b / 2];
    const halves: Triangle[] = [
      [
        [-x, -y, d],
        [x, -y, d],
        [x, y, d],
      ],
      [
        [-x, -y, d],
        [x, y, d],
        [-x, y, d],
      ],
    ];
    const expected = 4 * Math.asin((a * b) / Math.sqrt((a * a + 4 * d * d) * (b * b + 4 * d * d)));
    const sum = halves.reduce((all, half) => all + solidAngle(half, [0, 0, 0]), 0);
    expect(Math.abs(sum - expected)).toBeLessThan(ROUNDING);
    // Positions are float32 from here on.
    expect(Math.abs(4 * Math.PI * winding(halves, [0, 0, 0]) - expected)).toBeLessThan(ROUNDING);
  });

  test('any one has the excess of its spherical triangle', () => {
    fc.assert(
      fc.property(point, point, point, point, (a, b, c, from) => {
        const corners: Triangle = [a, b, c];
        fc.pre(corners.every((p) => distance(p, from) > 0.01));
        // Seen edge-on the sign is a matter of rounding, and on the triangle it has none.
        fc.pre(Math.abs(sixfold(corners, from)) > 1e-6);
        const angle = solidAngle(corners, from);
        // Near a half sphere the excess has its own square root of rounding to lose.
        expect(Math.abs(angle - excess(corners, from))).toBeLessThan(1e-4);
      }),
      SEEDED,
    );
  });
});

describe('closed solids', () => {
  test.each([1, 4, 20])('a cube of %i cuts an edge has 1 inside and 0 outside', (cuts) => {
    const solid = cube(2, cuts);
    for (const inside of [
      [1, 1, 1],
      [0.1, 0.2, 0.3],
      [1.99, 1, 1],
    ] as const)
      expect(Math.abs(winding(solid, inside) - 1)).toBeLessThan(FAST);
    for (const outside of [
      [3, 1, 1],
      [2.01, 1, 1],
      [-5, -5, -5],
      [1, 900, 1],
    ] as const)
      expect(Math.abs(winding(solid, outside))).toBeLessThan(FAST);
  });

  test('an inside-out cube has -1 inside', () => {
    expect(Math.abs(winding(turnedRound(cube(2, 8)), [0.7, 1, 1.2]) + 1)).toBeLessThan(FAST);
  });

  test('where two overlap the number is 2, and one within another turned round leaves 0', () => {
    const [outer, inner] = [cube(2, 6), cube(1, 6, [0.5, 0.5, 0.5])];
    expect(Math.abs(winding([...outer, ...inner], [1, 1, 1]) - 2)).toBeLessThan(FAST);
    expect(Math.abs(winding([...outer, ...turnedRound(inner)], [1, 1, 1]))).toBeLessThan(FAST);
  });
});

test('a cube without its lid is left with the five sixths of the sphere its faces fill', () => {
  const lidless = cube(2).slice(0, -2);
  expect(winding(lidless, [1, 1, 1])).toBeCloseTo(5 / 6, 10);
});

describe.each(castNames)('the mesh of the %s', (name) => {
  test('is measured as brute force by spherical excess measures it, at random points', async () => {
    const facts = await factsOf(mainFile(build(name)));
    const { positions, min, max } = bindMesh(facts);
    const surface = joinSurface(facts.rig.parts, positions);
    const grid = gridOf(surface, { min, max });
    const corner = (k: number): Vec3 => vec3At(surface.positions, surface.triangles[k] ?? 0);
    const count = surface.triangles.length / 3;
    const corners = Array.from(surface.triangles, (_, at) => corner(at));
    const faces = Array.from({ length: count }, (_, at): Triangle => {
      return [corner(3 * at), corner(3 * at + 1), corner(3 * at + 2)];
    });
    // In the box, and about the mesh, where most is near.
    const place = fc.oneof(
      point.map((p): Vec3 => {
        const at = (k: 0 | 1 | 2): number => min[k] + ((p[k] + 1) / 2) * (max[k] - min[k]);
        return [at(0), at(1), at(2)];
      }),
      fc.tuple(fc.nat(3 * count - 1), point).map(([at, p]): Vec3 => {
        const [x, y, z] = corner(at);
        return [x + 0.05 * p[0], y + 0.05 * p[1], z + 0.05 * p[2]];
      }),
    );
    fc.assert(
      fc.property(place, (from) => {
        // On a corner the reference has no number; beside one it has all of its digits.
        fc.pre(corners.every((place) => distance(place, from) > 1e-6));
        let angle = 0;
        for (const face of faces) angle += excess(face, from);
        const fast = windingNumbers(grid, from)[0] ?? Number.NaN;
        expect(Math.abs(fast - angle / (4 * Math.PI))).toBeLessThan(FAST);
      }),
      { seed: 2013, numRuns: 60 },
    );
  });
});
