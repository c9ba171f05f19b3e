// Sources: the centroid tables of any handbook of mechanics (here from memory, each derived anew in
// the comments): cone h/4 and hemisphere 3r/8 for solids, hemisphere r/2 and cone h/3 for shells. Half
// torus: (4R^2 + r^2) / (2 pi R) by Pappus's method, derived below. B. Mirtich, "Fast and Accurate
// Computation of Polyhedral Mass Properties", 1996, for what is exact on a polyhedron.
import { describe, expect, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import type { Influence } from '../../fixtures/kit/mesh-part.js';
import type { Facts } from '../../src/measure/facts.js';
import { bindMesh } from '../../src/measure/geometry/bind-mesh.js';
import { centreOfMass } from '../../src/measure/geometry/centre-of-mass.js';
import { factsOf } from '../support/facts-of.js';
import { chainJoints, tinyGlb } from '../support/tiny-rig.js';

type Point = readonly [number, number, number];
/** Corners of triangles, three points each, wound counter-clockwise from outside. */
type Soup = readonly (readonly [Point, Point, Point])[];

/** Positions are float32: 2^-24 of a coordinate, and sums of a few thousand of them. Of size. */
const FLOAT32 = 1e-6;

/**
 * One vertex a corner: nothing is shared, so that closedness has to be seen from places alone. The
 * tetrahedra meet at the first vertex, `apex`, which no triangle has.
 */
async function centre(soup: Soup, apex: Point = [0, 0, 0]) {
  const found = centreOfMass(await factsOf(soupGlb(soup, apex)));
  if (found === null) throw new Error('the soup has an area');
  return found;
}

function soupGlb(soup: Soup, apex: Point): Uint8Array {
  const positions = [apex, ...soup.flat()];
  const triangles = soup.map((_, at) => [3 * at + 1, 3 * at + 2, 3 * at + 3] as const);
  const influences = positions.map((): Influence[] => [[0, 1]]);
  return tinyGlb(chainJoints([[0, 0, 0]]), { positions, triangles, influences });
}

const moved = (soup: Soup, [x, y, z]: Point): Soup =>
  soup.map((corners) => {
    const [a, b, c] = corners.map((p): Point => [p[0] + x, p[1] + y, p[2] + z]);
    return [a ?? [0, 0, 0], b ?? [0, 0, 0], c ?? [0, 0, 0]];
  });

const circle = (count: number, radius: number, y: number): Point[] =>
  Array.from({ length: count }, (_, k) => {
    const angle = (2 * Math.PI * k) / count;
    return [radius * Math.cos(angle), y, -radius * Math.sin(angle)];
  });

/** Triangles between two rings of as many points; `upper` lies above, outside faces out. */
const band = (lower: readonly Point[], upper: readonly Point[]): Soup =>
  lower.flatMap((a, k) => {
    const [b, c, d] = [lower[(k + 1) % lower.length], upper[k], upper[(k + 1) % upper.length]];
    if (b === undefined || c === undefined || d === undefined) return [];
    return [
      [a, b, c],
      [c, b, d],
    ];
  });

/** A fan of triangles from `tip` to a ring, looking up; `flip` makes it look down. */
const fan = (ring: readonly Point[], tip: Point, flip = false): Soup =>
  ring.map((a, k) => {
    const b = ring[(k + 1) % ring.length] ?? a;
    return flip ? [b, a, tip] : [a, b, tip];
  });

const box = (w: number, h: number, d: number): Soup => {
  const base: Point[] = [
    [0, 0, 0],
    [0, 0, d],
    [w, 0, d],
    [w, 0, 0],
  ];
  const top = base.map(([x, y, z]): Point => [x, y + h, z]);
  const [a, b, c, e] = base as [Point, Point, Point, Point]; // four corners above
  const [p, q, r, s] = top as [Point, Point, Point, Point]; // the same four, higher
  return [...band(base, top), [a, c, b], [a, e, c], [p, q, r], [p, r, s]];
};

describe('solids', () => {
  const [radius, height] = [0.4, 1.5];

  test('a cone has its centre a quarter of its height above the base', async () => {
    // A pyramid over any base has its centroid at h/4, so a cone of 7 faces is as exact as one of 700.
    const ring = circle(7, radius, 0);
    const { place, of } = await centre([
      ...fan(ring, [0, height, 0]),
      ...fan(ring, [0, 0, 0], true),
    ]);
    expect(of).toBe('volume');
    expect(distance(place, [0, height / 4, 0])).toBeLessThan(FLOAT32 * height);
  });

  test('a cone keeps its centre wherever the tetrahedra meet', async () => {
    const ring = circle(9, radius, 0);
    const cone = [...fan(ring, [0, height, 0]), ...fan(ring, [0, 0, 0], true)];
    for (const apex of [
      [0.3, 0.1, 0.2],
      [-2, 5, 1],
    ] as const) {
      const { place } = await centre(cone, apex);
      expect(distance(place, [0, height / 4, 0])).toBeLessThan(10 * FLOAT32 * height);
    }
  });

  test('a hemisphere has its centre three eighths of its radius above the base', async () => {
    const shell = dome(1, 48, 96);
    const { place, of } = await centre([...shell, ...fan(circle(96, 1, 0), [0, 0, 0], true)]);
    expect(of).toBe('volume');
    expectWithinDome(place[1], 3 / 8, nearestFace(shell));
  });

  test('half a solid torus has its centre (4R² + r²) / 2πR from its axis', async () => {
    // A section of area A at distance p from the axis sweeps half a turn. With I1 the integral of p
    // and I2 that of p² over the section, the centre is (2/pi) I2 / I1 off the axis: I1 = RA, and for
    // a circle I2 = (R² + r²/4) A, hence the handbook's figure.
    //
    // Made of s straight pieces and p corners round the section, both change, and can be had exactly.
    // A piece of half angle d = pi / 2s shows the section shrunk by cos d in its middle, and its
    // length at p is 2 p sin d; summed over the pieces, 2/pi becomes 1 / (s tan d). A regular polygon
    // has I2 = (R² + r² (2 + cos(2 pi / p)) / 12) A.
    const [R, r, s, p] = [0.9, 0.35, 24, 20];
    const exact =
      (R + (r ** 2 * (2 + Math.cos((2 * Math.PI) / p))) / (12 * R)) /
      (s * Math.tan(Math.PI / (2 * s)));
    const handbook = (4 * R ** 2 + r ** 2) / (2 * Math.PI * R);
    const { place, of } = await centre(halfTorus(R, r, s, p));
    expect(of).toBe('volume');
    expect(distance(place, [exact, 0, 0])).toBeLessThan(FLOAT32 * 2 * (R + r));
    // d / tan d falls short of 1 by d²/3 and a little, under d²/2; and 2 + cos falls short of 3 by at most (2 pi / p)² / 2.
    const shortfall = (Math.PI / (2 * s)) ** 2 / 2 + (r / R) ** 2 * ((2 * Math.PI) / p) ** 2 * 0.05;
    expect(Math.abs(place[0] - handbook)).toBeLessThan(handbook * shortfall);
  });

  test('a closed box far off the origin has its centre in its middle', async () => {
    const { place, of } = await centre(moved(box(2, 3, 4), [100, -50, 25]), [100, -50, 25]);
    expect(of).toBe('volume');
    expect(distance(place, [101, -48.5, 27])).toBeLessThan(FLOAT32 * 100);
  });

  test('a box turned inside out has its centre in the same place', async () => {
    const inside = box(2, 3, 4).map(([a, b, c]) => [a, c, b] as const);
    const { place, of } = await centre(inside);
    expect(of).toBe('volume');
    expect(distance(place, [1, 1.5, 2])).toBeLessThan(FLOAT32 * 5);
  });

  test('two separate closed solids have their common centre between them by volume', async () => {
    // 1 cubic unit about x = 0.5 and 8 about x = 11: (0.5 + 88) / 9.
    const { place, of } = await centre([...box(1, 1, 1), ...moved(box(2, 2, 2), [10, 0, 0])]);
    expect(of).toBe('volume');
    expect(distance(place, [88.5 / 9, (0.5 + 8) / 9, (0.5 + 8) / 9])).toBeLessThan(FLOAT32 * 12);
  });
});

describe('surfaces', () => {
  test('a hemisphere without its base has its centre half a radius up', async () => {
    const shell = dome(1, 48, 96);
    const { place, of } = await centre(shell);
    expect(of).toBe('surface');
    expectWithinDome(place[1], 1 / 2, nearestFace(shell));
  });

  test('a cone without its base has its centre a third of its height up', async () => {
    // Triangles from one tip to a level ring: each has its centroid at h/3, exactly.
    const { place, of } = await centre(fan(circle(11, 0.4, 0), [0, 1.5, 0]));
    expect(of).toBe('surface');
    expect(distance(place, [0, 0.5, 0])).toBeLessThan(FLOAT32 * 1.5);
  });

  test('an open tube is a surface, with its centre half-way along', async () => {
    const { place, of } = await centre(band(circle(12, 0.2, 0), circle(12, 0.2, 3)));
    expect(of).toBe('surface');
    expect(distance(place, [0, 1.5, 0])).toBeLessThan(FLOAT32 * 3);
  });

  test('a card with two sides is closed but has no volume, and is taken as a surface', async () => {
    const corners: Point[] = [
      [0, 0, 0],
      [2, 0, 0],
      [2, 1, 0],
      [0, 1, 0],
    ];
    const [a, b, c, d] = corners as [Point, Point, Point, Point]; // four corners above
    const { place, of } = await centre([
      [a, b, c],
      [a, c, d],
      [a, c, b],
      [a, d, c],
    ]);
    expect(of).toBe('surface');
    expect(distance(place, [1, 0.5, 0])).toBeLessThan(FLOAT32 * 2);
  });

  test('a leaning card has no volume either, though rounding leaves it a little', async () => {
    // Corners that float32 cannot hold, and tetrahedra that meet off the card.
    const [a, b, c, d] = [
      [0.1, 0.2, 0.3],
      [1.3, 0.7, 0.9],
      [1.1, 1.6, 1.7],
      [-0.1, 1.1, 1.1],
    ] as const;
    const card: Soup = [
      [a, b, c],
      [a, c, d],
      [b, a, d],
      [b, d, c],
    ];
    const { place, of } = await centre(card, [3, -2, 1]);
    expect(of).toBe('surface');
    expect(distance(place, [0.6, 0.9, 1])).toBeLessThan(FLOAT32 * 3);
  });

  test('nothing but points has no centre', async () => {
    const point: Point = [1, 2, 3];
    const facts = await factsOf(soupGlb([[point, point, point]], [0, 0, 0]));
    expect(centreOfMass(facts)).toBeNull();
  });
});

describe.each(castNames)('the mesh of the %s', (name) => {
  test('is closed, and open as soon as one triangle is missing', async () => {
    const facts = await factsOf(buildGlb(name));
    expect(centreOfMass(facts)?.of).toBe('volume');
    const all = facts.rig.parts[0]?.triangles ?? new Uint32Array(0);
    for (const missing of [0, Math.floor(all.length / 6), all.length / 3 - 1]) {
      const kept = Uint32Array.from(all).filter((_, at) => Math.floor(at / 3) !== missing);
      expect(centreOfMass(withFirst(facts, kept))?.of).toBe('surface');
    }
  });

  test('has its centre in the same place when its positions are quantised', async () => {
    const [plain, quantised] = await Promise.all([
      factsOf(buildGlb(name)),
      factsOf(buildGlb(name, { positions: 'quantised', weights: 'u8' })),
    ]);
    const [was, is] = [centreOfMass(plain), centreOfMass(quantised)];
    expect(is?.of).toBe('volume');
    // Rounded to 1 / 65535 of the longest side, each vertex for itself.
    const apart = distance(was?.place ?? [0, 0, 0], is?.place ?? [9, 9, 9]);
    expect(apart).toBeLessThan(bindMesh(plain).size / 65535);
  });

  test('has its centre in the same place when it is two meshes, each with a scale of its own', async () => {
    const puppet = raisePuppet(name);
    puppet.parts.slice(1).forEach((part) => {
      part.costume = 'cloak';
    });
    const [plain, parted] = await Promise.all([
      factsOf(buildGlb(name)),
      factsOf(mainFile(buildPuppet(puppet, { positions: 'quantised', weights: 'u8' }))),
    ]);
    expect(parted.rig.skins).toHaveLength(2);
    const [was, is] = [centreOfMass(plain), centreOfMass(parted)];
    expect(is?.of).toBe('volume');
    const apart = distance(was?.place ?? [0, 0, 0], is?.place ?? [9, 9, 9]);
    expect(apart).toBeLessThan(bindMesh(plain).size / 65535);
  });

  test('is open when one triangle is turned over', async () => {
    const facts = await factsOf(buildGlb(name));
    const turned = Uint32Array.from(facts.rig.parts[0]?.triangles ?? []);
    turned.subarray(0, 3).reverse();
    expect(centreOfMass(withFirst(facts, turned))?.of).toBe('surface');
  });
});

/** The rig with other triangles in its first part. */
function withFirst(facts: Facts, triangles: Uint32Array): Facts {
  const parts = facts.rig.parts.map((part, at) => (at === 0 ? { ...part, triangles } : part));
  return { ...facts, rig: { ...facts.rig, parts } };
}

/** A half sphere about the origin without its base, `around` corners a ring. */
function dome(radius: number, rings: number, around: number): Soup {
  const levels = Array.from({ length: rings }, (_, k) => {
    const angle = (Math.PI * k) / (2 * rings);
    return circle(around, radius * Math.cos(angle), radius * Math.sin(angle));
  });
  const sides = levels.slice(1).flatMap((upper, k) => band(levels[k] ?? [], upper));
  return [...sides, ...fan(levels.at(-1) ?? [], [0, radius, 0])];
}

/** Distance from the origin to the nearest plane of a face: how deep the facets cut into a unit dome. */
function nearestFace(soup: Soup): number {
  return Math.min(
    ...soup.map(([a, b, c]) => {
      const n = cross(minus(b, a), minus(c, a));
      return Math.abs(dot(n, a)) / Math.hypot(...n);
    }),
  );
}

/**
 * Between a unit dome of facets, whose faces come as near as `depth` to the middle, and the smooth
 * one. As a solid it holds the dome shrunk to `depth` and lies in the whole one, so its moment is
 * within [depth^4, 1] and its volume within [depth^3, 1] of theirs. As a shell, seen from the middle,
 * a piece of facet at distance q (depth to 1) has q^3 / depth of the area behind it and q times the
 * height: area within [depth^2, 1 / depth], moment within [depth^3, 1 / depth]. Either way the
 * centre is within [depth^4, depth^-3] of the smooth one's.
 */
function expectWithinDome(height: number, smooth: number, depth: number): void {
  expect(depth).toBeGreaterThan(0.999);
  expect(height).toBeGreaterThan(smooth * depth ** 4);
  expect(height).toBeLessThan(smooth / depth ** 3);
}

/** Half a torus about the Y axis on the side of +X, its two ends closed. */
function halfTorus(R: number, r: number, pieces: number, corners: number): Soup {
  const rings = Array.from({ length: pieces + 1 }, (_, k) => {
    const along = -Math.PI / 2 + (Math.PI * k) / pieces;
    return Array.from({ length: corners }, (_corner, at): Point => {
      const round = (2 * Math.PI * at) / corners;
      const reach = R + r * Math.cos(round);
      return [reach * Math.cos(along), r * Math.sin(round), reach * Math.sin(along)];
    });
  });
  const [first, last] = [rings[0] ?? [], rings.at(-1) ?? []];
  const middle = (ring: readonly Point[]): Point => {
    const total = ring.reduce((sum, p): Point => [sum[0] + p[0], sum[1] + p[1], sum[2] + p[2]], [
      0, 0, 0,
    ] as Point);
    return [total[0] / ring.length, total[1] / ring.length, total[2] / ring.length];
  };
  return [
    ...rings.slice(1).flatMap((next, k) => band(rings[k] ?? [], next)),
    ...fan(last, middle(last)),
    ...fan(first, middle(first), true),
  ];
}

function minus(a: Point, b: Point): Point {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
}

function dot(a: Point, b: Point): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

function cross(a: Point, b: Point): Point {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

function distance(a: Point, b: Point): number {
  return Math.hypot(...minus(a, b));
}
