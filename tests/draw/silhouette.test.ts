import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { simplifyRing } from '../../src/draw/outline.js';
import type { ShownMesh } from '../../src/draw/rest-mesh.js';
import { makeRigShape } from '../../src/draw/rig-shape.js';
import { makeSilhouette, type Silhouette } from '../../src/draw/silhouette.js';
import { boundsOf, centreOf, shownSize, VIEWS } from '../../src/draw/view.js';
import type { Vec3 } from '../../src/rig/vec3.js';
import { drawable } from './drawn.js';
import { ringsOf } from './path-reader.js';

const [FRONT] = VIEWS;

/** Seen from the front, 100 picture units a world unit. */
function fromFront(points: readonly Vec3[], triangles: readonly number[]): Silhouette {
  const mesh: ShownMesh = {
    positions: Float32Array.from(points.flat()),
    triangles: Uint32Array.from(triangles),
  };
  const bounds = boundsOf(points);
  const [width, height] = shownSize(bounds, FRONT);
  const projection = { view: FRONT, centre: centreOf(bounds), scale: 100 };
  return makeSilhouette(mesh, projection, [100 * width, 100 * height]);
}

function boxOf(path: string): { width: number; height: number; left: number } {
  const points = ringsOf(path).flat();
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const left = Math.min(...xs);
  return { left, width: Math.max(...xs) - left, height: Math.max(...ys) - Math.min(...ys) };
}

describe('the outline', () => {
  it('of a square is a square of its size', () => {
    const { body } = fromFront(SQUARE, [0, 1, 2, 0, 2, 3]);
    const { width, height } = boxOf(body);
    expect(width).toBeCloseTo(200, 0);
    expect(height).toBeCloseTo(200, 0);
    expect(ringsOf(body)).toHaveLength(1);
  });

  it('keeps a reed that is thinner than a pixel, over its whole length', () => {
    const reed: Vec3[] = [
      [-2, -1, 0],
      [2, 1, 0],
      [2, 1.0001, 0],
    ];
    const { width, height } = boxOf(fromFront(reed, [0, 1, 2]).body);
    expect(Math.abs(width - 400)).toBeLessThan(4);
    expect(Math.abs(height - 200)).toBeLessThan(4);
  });

  it('has a hole where a ring has one', () => {
    const outer: Vec3[] = SQUARE;
    const inner = SQUARE.map(([x, y, z]): Vec3 => [x / 2, y / 2, z]);
    const sides = [0, 1, 2, 3].flatMap((at) => {
      const next = (at + 1) % 4;
      return [at, next, 4 + next, at, 4 + next, 4 + at];
    });
    const { body, covers } = fromFront([...outer, ...inner], sides);
    expect(ringsOf(body)).toHaveLength(2);
    expect(covers([0, 0])).toBe(false);
    expect(covers([75, 0])).toBe(true);
    expect(covers([400, 0])).toBe(false);
  });

  it('leaves out triangles whose corners are no numbers', () => {
    const broken: Vec3[] = [...SQUARE, [Number.NaN, 0, 0], [Infinity, 0, 0], [0, 3, Number.NaN]];
    const half = fromFront(SQUARE, [0, 1, 2]).body;
    for (const corner of [4, 5, 6])
      expect(fromFront(broken, [0, 1, 2, 0, 2, corner]).body).toBe(half);
  });

  it('fits the letters it is given, and still spans the rig', async () => {
    const { scene, report } = await drawable(buildGlb('stag-beetle'));
    const [rig] = scene.rigs;
    if (rig === undefined) throw new Error('no rig');
    const { mesh, bounds } = makeRigShape(0, rig, report.rigs[0]);
    const top = VIEWS[2];
    const [width, height] = shownSize(bounds, top);
    const scale = 400 / height;
    const projection = { view: top, centre: centreOf(bounds), scale };
    const letters = { body: 400, creases: 0 };
    const small = makeSilhouette(mesh, projection, [width * scale, 400], letters);
    const whole = makeSilhouette(mesh, projection, [width * scale, 400]);
    expect(whole.body.length).toBeGreaterThan(400);
    expect(small.body.length).toBeLessThanOrEqual(400);
    expect(small.creases).toBe('');
    expect(Math.abs(boxOf(small.body).height - boxOf(whole.body).height)).toBeLessThan(12);
  });
});

const SQUARE: Vec3[] = [
  [-1, -1, 0],
  [1, -1, 0],
  [1, 1, 0],
  [-1, 1, 0],
];

describe('creases', () => {
  /** Two squares that share the edge x = 0, the right one turned back by an angle. */
  function hinge(degrees: number): Silhouette {
    const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
    const points: Vec3[] = [
      [-1, -1, 0],
      [0, -1, 0],
      [0, 1, 0],
      [-1, 1, 0],
      [c, -1, -s],
      [c, 1, -s],
    ];
    return fromFront(points, [0, 1, 2, 0, 2, 3, 1, 4, 5, 1, 5, 2]);
  }

  it('are drawn along an edge of 60 degrees and not along one of 40, nor on a slope', () => {
    const sharp = hinge(60);
    const { left, width, height } = boxOf(sharp.creases);
    // The sheet runs from -1 to cos 60 degrees: its middle is at -0.25, the edge 0.25 right of it.
    expect(left + width / 2).toBeCloseTo(25, -0.5);
    expect(width).toBeLessThan(5);
    expect(height).toBeGreaterThan(180);
    expect(hinge(40).creases).toBe('');
    expect(hinge(0).creases).toBe('');
  });

  it('are not drawn on a steep slope of many strips', () => {
    const tilt = (80 * Math.PI) / 180;
    const rows = Array.from({ length: 11 }, (_, at) => at / 5 - 1);
    const points = rows.flatMap((t): Vec3[] =>
      [-1, 1].map((x): Vec3 => [x, t * Math.cos(tilt) * 3, t * Math.sin(tilt) * 3]),
    );
    const faces = rows.slice(1).flatMap((_, at) => {
      const v = 2 * at;
      return [v, v + 1, v + 3, v, v + 3, v + 2];
    });
    const { body, creases } = fromFront(points, faces);
    expect(ringsOf(body)).toHaveLength(1);
    expect(creases).toBe('');
  });

  it('are drawn where one sheet ends before another', () => {
    const near = SQUARE.map(([x, y]): Vec3 => [x / 2, y / 2, 0.5]);
    const faces = [0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7];
    const { creases } = fromFront([...SQUARE, ...near], faces);
    const { width, height } = boxOf(creases);
    expect(Math.abs(width - 100)).toBeLessThan(4);
    expect(Math.abs(height - 100)).toBeLessThan(4);
    const close = SQUARE.map(([x, y]): Vec3 => [x / 2, y / 2, 0.01]);
    expect(fromFront([...SQUARE, ...close], faces).creases).toBe('');
  });
});

describe('simplifyRing', () => {
  it('leaves the corners of a square with many points on its sides', () => {
    const side = Array.from({ length: 10 }, (_, at) => at / 10);
    const ring = [
      ...side.map((t): [number, number] => [t, 0]),
      ...side.map((t): [number, number] => [1, t]),
      ...side.map((t): [number, number] => [1 - t, 1]),
      ...side.map((t): [number, number] => [0, 1 - t]),
      [0, 0] as [number, number],
    ];
    expect(simplifyRing(ring, 0.01)).toEqual([
      [0, 0],
      [1, 0],
      [1, 1],
      [0, 1],
    ]);
  });

  it('strays no farther than allowed', () => {
    const ring = Array.from({ length: 200 }, (_, at): [number, number] => [
      Math.cos((2 * Math.PI * at) / 200),
      Math.sin((2 * Math.PI * at) / 200),
    ]);
    const few = simplifyRing(ring, 0.05);
    expect(few.length).toBeLessThan(20);
    // The middle of a chord of a unit circle is farthest off.
    few.forEach(([x, y], at) => {
      const [nx, ny] = few[(at + 1) % few.length] ?? [0, 0];
      expect(Math.hypot((x + nx) / 2, (y + ny) / 2)).toBeGreaterThan(0.949);
    });
  });
});
