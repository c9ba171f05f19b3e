// Sources: the definition of skinning, written out (glTF 2.0, 3.7.3 Skins), for every vertex that a bound
// stands for; and of two unit vectors at an angle, that half their sum has the length of the cosine of half
// that angle (any handbook: the diagonal of a rhombus).
import fc from 'fast-check';
import { Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import { MoverTurns, shiftBounds } from '../../src/mend/proof/proof-bounds.js';
import {
  Movers,
  type PartMovers,
  type PartPair,
  partMovers,
} from '../../src/mend/proof/proof-movers.js';
import { turnBound } from '../../src/mend/proof/proof-turns.js';
import { compareVertices } from '../../src/mend/proof/proof-vertices.js';
import type { SkinnedPart } from '../../src/rig/types.js';

const SEED = 20_240_611;
const JOINTS = 5;
const VERTICES = 12;

/** Weights of two morph targets that show none. */
const NONE = [0, 0];

/** Nothing so small that it has no square. */
const number = fc.integer({ min: -2048, max: 2048 }).map((value) => value / 1024);
const numbers = (length: number) => fc.array(number, { minLength: length, maxLength: length });
const slots = fc.array(fc.integer({ min: 0, max: JOINTS - 1 }), {
  minLength: 4 * VERTICES,
  maxLength: 4 * VERTICES,
});
const weights = fc.array(fc.constantFrom(0, 0, 0.1, 0.25, 0.7), {
  minLength: 4 * VERTICES,
  maxLength: 4 * VERTICES,
});

function partOf(positions: number[], joints: number[], shares: number[]): SkinnedPart {
  return {
    node: 0,
    mesh: 0,
    primitive: 0,
    label: 'caterpillar',
    sharesVertices: false,
    skin: 0,
    vertexCount: VERTICES,
    positions: Float32Array.from(positions),
    triangles: null,
    influences: 4,
    slots: Uint8Array.from(joints),
    weights: Float32Array.from(shares),
    weightSteps: 0,
  };
}

/** The slots of the joints the other way round, as a mend may number them. */
const renumbered = (part: SkinnedPart): SkinnedPart => ({
  ...part,
  slots: Uint8Array.from(part.slots, (slot) => JOINTS - 1 - slot),
});

/** Upper three rows of random matrices, column-major. */
const affine = numbers(16 * JOINTS).map((values) =>
  Float64Array.from(values, (value, at) => (at % 4 === 3 ? (at % 16 === 15 ? 1 : 0) : value)),
);

function moversOf(part: SkinnedPart, ...moves: Float32Array[]): [Movers, PartMovers] {
  const movers = new Movers();
  const look = {
    normals: null,
    tangents: null,
    targets: moves.map((positions) => ({ positions, normals: null, tangents: null })),
    weights: new Float64Array(moves.length),
  };
  const pair: PartPair = { before: part, after: renumbered(part), looks: [look, look] };
  return [movers, partMovers(pair, movers)];
}

describe('bounds', () => {
  it('no vertex moves farther, whatever its morph targets weigh', () => {
    const weight = fc.double({ min: -0.5, max: 1, noNaN: true });
    fc.assert(
      fc.property(
        numbers(3 * VERTICES),
        numbers(3 * VERTICES),
        numbers(3 * VERTICES),
        slots,
        weights,
        affine,
        affine,
        fc.tuple(weight, weight),
        (positions, one, other, joints, shares, a, b, posed) => {
          const part = partOf(positions, joints, shares);
          const moves = [Float32Array.from(one), Float32Array.from(other)];
          const [movers, own] = moversOf(part, ...moves);
          const farthest = (shown: readonly number[]): number => {
            const placed = Float64Array.from(part.positions, (p, at) =>
              shown.reduce((sum, w, target) => sum + w * (moves[target]?.[at] ?? 0), p),
            );
            const shape = { positions: placed, normals: null, tangents: null, faded: () => false };
            return compareVertices(
              { part, shape, matrices: a },
              { part: renumbered(part), shape, matrices: b },
              null,
            ).distance;
          };
          const alone = Math.max(...shiftBounds(own, movers, a, b, null), 0) * (1 + 1e-12);
          for (const shown of [NONE, [1, 0], [0, 1]])
            expect(farthest(shown)).toBeLessThanOrEqual(alone);
          const bound = Math.max(...shiftBounds(own, movers, a, b, Float64Array.from(posed)), 0);
          for (const shown of [NONE, [1, 0], [0, 1], posed])
            expect(farthest(shown)).toBeLessThanOrEqual(bound * (1 + 1e-12));
        },
      ),
      { seed: SEED, numRuns: 300 },
    );
  });

  it.each([
    [2, 1, 3],
    [-6, 1, 5],
    [2, -0.5, 3],
    [2, 3, 7],
    [-6, -2, 13],
  ])('a target that moves by %d at a weight of %d takes a vertex %d away', (delta, weight, far) => {
    // One vertex at x = 1, and a joint that leaves x out afterwards. Alone the target is at full weight.
    const x = (value: number) =>
      Array.from({ length: 3 * VERTICES }, (_, at) => (at % 3 === 0 ? value : 0));
    const only = Array.from({ length: 4 * VERTICES }, (_, at) => (at % 4 === 0 ? 1 : 0));
    const part = partOf(x(1), new Array<number>(4 * VERTICES).fill(2), only);
    const [movers, own] = moversOf(part, Float32Array.from(x(delta)));
    const posed = Float64Array.of(weight);
    const [a, b] = [new Float64Array(16 * JOINTS), new Float64Array(16 * JOINTS)];
    a[32] = 1;
    expect([...shiftBounds(own, movers, a, b, posed)]).toEqual([far]);
  });

  it('joints that do not part move nothing, and a box that holds no number is no bound', () => {
    const part = partOf(
      Array.from({ length: 3 * VERTICES }, (_, at) => at),
      new Array<number>(4 * VERTICES).fill(0),
      Array.from({ length: 4 * VERTICES }, (_, at) => (at % 4 === 0 ? 1 : 0)),
    );
    const same = Float64Array.from({ length: 16 * JOINTS }, (_, at) => at % 16);
    const boundsOf = () => {
      const [movers, own] = moversOf(part);
      return [...shiftBounds(own, movers, same, same, new Float64Array())];
    };
    expect(boundsOf()).toEqual([0]);
    part.positions[4] = Number.NaN;
    expect(boundsOf()).toEqual([Infinity]);
  });

  it('no blend of joints leaves less of a direction', () => {
    let told = 0;
    fc.assert(
      fc.property(slots, weights, affine, numbers(3), (joints, shares, matrices, direction) => {
        const length = Math.hypot(...direction);
        fc.pre(length > 1e-3);
        const unit = direction.map((value) => value / length);
        const part = partOf(new Array<number>(3 * VERTICES).fill(0), joints, shares);
        const [movers, { pairs }] = moversOf(part);
        const turns = new MoverTurns(movers, matrices, matrices);
        for (let vertex = 0; vertex < VERTICES; vertex++) {
          const own = pairs.filter(({ vertices }) => vertices.includes(vertex));
          const least = Math.min(...own.map((pair) => turns.shortestOf(pair)));
          if (own.length === 0 || least === 0) continue;
          told++;
          let sum = 0;
          const blended = [0, 0, 0];
          for (let k = 4 * vertex; k < 4 * vertex + 4; k++) {
            const weight = part.weights[k] ?? 0;
            sum += weight;
            for (let row = 0; row < 3; row++)
              for (let column = 0; column < 3; column++)
                blended[row] =
                  (blended[row] ?? 0) +
                  weight *
                    (matrices[16 * (part.slots[k] ?? 0) + 4 * column + row] ?? 0) *
                    (unit[column] ?? 0);
          }
          const square = blended.reduce((total, value) => total + value * value, 0);
          expect(square).toBeGreaterThanOrEqual(sum * sum * least * (1 - 1e-6));
        }
      }),
      { seed: SEED, numRuns: 500 },
    );
    // Random joints part so widely that often nothing is sure.
    expect(told).toBeGreaterThan(500);
  });

  it('no two matrices turn any direction farther apart', () => {
    const turned = fc.tuple(numbers(9), numbers(9), numbers(3), fc.constantFrom(1, 0.1, 1e-3));
    let told = 0;
    fc.assert(
      fc.property(turned, ([first, noise, v, size]) => {
        fc.pre(Math.hypot(...v) > 1e-3);
        const m = Float64Array.from(first);
        const n = m.map((value, at) => value + size * (noise[at] ?? 0));
        const times = (matrix: Float64Array) =>
          [0, 1, 2].map((row) =>
            v.reduce((sum, value, column) => sum + value * (matrix[3 * column + row] ?? 0), 0),
          );
        const bound = turnBound(m, n, 0);
        if (!(bound < 90)) return;
        told++;
        const [p, q] = [new Vector3(...times(m)), new Vector3(...times(n))];
        const degrees = (Math.atan2(p.clone().cross(q).length(), p.dot(q)) * 180) / Math.PI;
        expect(degrees).toBeLessThanOrEqual(bound * (1 + 1e-6));
      }),
      { seed: SEED, numRuns: 500 },
    );
    expect(told).toBeGreaterThan(100);
  });

  it('of three joints that part by 120° nothing need be left', () => {
    const matrices = new Float64Array(16 * JOINTS);
    for (const [joint, degrees] of [0, 120, 240].entries()) {
      const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
      matrices.set([c, s, 0, 0, -s, c, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1], 16 * joint);
    }
    const part = partOf(
      new Array<number>(3 * VERTICES).fill(0),
      Array.from({ length: 4 * VERTICES }, (_, at) => at % 4),
      Array.from({ length: 4 * VERTICES }, (_, at) => (at % 4 < 3 ? 1 : 0)),
    );
    const [movers, { pairs }] = moversOf(part);
    const turns = new MoverTurns(movers, matrices, matrices);
    expect(pairs).toHaveLength(3);
    for (const pair of pairs) expect(turns.shortestOf(pair)).toBeLessThan(1e-6);
  });

  it.each([90, 100, 120, 150, 170])(
    'of two joints that part by %d°, cos² of half of that is left at least',
    (degrees) => {
      const angle = (degrees * Math.PI) / 180;
      const [c, s] = [Math.cos(angle), Math.sin(angle)];
      const matrices = new Float64Array(16 * JOINTS);
      matrices.set([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]);
      matrices.set([c, s, 0, 0, -s, c, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1], 16);
      const part = partOf(
        new Array<number>(3 * VERTICES).fill(0),
        Array.from({ length: 4 * VERTICES }, (_, at) => at % 2),
        Array.from({ length: 4 * VERTICES }, (_, at) => (at % 4 < 2 ? 0.5 : 0)),
      );
      const [movers, { pairs }] = moversOf(part);
      const turns = new MoverTurns(movers, matrices, matrices);
      const [pair] = pairs;
      if (pair === undefined) throw new Error('two joints are a pair');
      expect(turns.shortestOf(pair)).toBeCloseTo(Math.cos(angle / 2) ** 2, 6);
    },
  );
});
