import type { Letter } from '../../../rig/letters.js';
import type { HandbookLive, LiveSide, Pooled } from '../../handbook-live.js';
import { turnedAboutLetter } from '../../letter-turn.js';
import { unpack } from '../unpack.js';

type Numbers = ArrayLike<number>;

/** One side that can be curled: its matrices, and its mesh in the world as bound. */
export interface Side {
  readonly parents: readonly number[];
  readonly joints: readonly number[];
  readonly turned: ReadonlySet<number>;
  /** The chain in its order, from the body out. */
  readonly chain: readonly number[];
  /** Local matrices as shown, 16 numbers a node. */
  readonly shown: Numbers;
  /** Inverse of the world matrix as bound, 16 numbers a node. */
  readonly unbound: Float64Array;
  /** x, y, z a vertex. */
  readonly positions: Float32Array;
  readonly triangles: Numbers;
  /** Four a vertex: nodes, and their shares. */
  readonly slots: Numbers;
  readonly weights: Numbers;
}

export function readSide(side: LiveSide, pool: HandbookLive['pool']): Side {
  const numbers = ({ type, at }: Pooled): Numbers => unpack({ type, base64: pool[at] ?? '' });
  const { parents, joints, turned, mesh } = side;
  const { origin, step } = mesh;
  const stored = numbers(mesh.positions);
  const positions = Float32Array.from(
    { length: stored.length },
    (_, i) => (origin[i % 3] ?? 0) + (step[i % 3] ?? 0) * (stored[i] ?? 0),
  );
  const bound = worldOf(parents, numbers(side.bound));
  const unbound = new Float64Array(bound.length);
  for (let node = 0; node < parents.length; node++) invertInto(bound, unbound, 16 * node);
  return {
    parents,
    joints,
    turned: new Set(turned),
    chain: turned,
    shown: numbers(side.shown),
    unbound,
    positions,
    triangles: numbers(mesh.triangles),
    slots: numbers(mesh.slots),
    weights: Uint8Array.from(numbers(mesh.weights)),
  };
}

/** World matrices with every joint of the chain turned about one letter by one amount. Degrees. */
export function curledWorld(side: Side, letter: Letter, degrees: number): Float64Array {
  const { parents, shown, turned } = side;
  const locals = Float64Array.from({ length: shown.length }, (_, i) => shown[i] ?? 0);
  for (const node of turned)
    locals.set(
      turnedAboutLetter(locals.subarray(16 * node, 16 * node + 16), letter, degrees),
      16 * node,
    );
  return worldOf(parents, locals);
}

/** The vertices as the joints have them: the sum of w W B^-1 p (glTF 2.0, 3.7.3 Skins). */
export function skinned(side: Side, world: Float64Array): Float32Array {
  const { positions, slots, weights, unbound, parents } = side;
  const skin = new Float64Array(world.length);
  for (let node = 0; node < parents.length; node++) multiplyInto(world, unbound, skin, node);
  const out = new Float32Array(positions.length);
  for (let vertex = 0; 3 * vertex < positions.length; vertex++) {
    const x = positions[3 * vertex] ?? 0;
    const y = positions[3 * vertex + 1] ?? 0;
    const z = positions[3 * vertex + 2] ?? 0;
    let sum = 0;
    for (let i = 4 * vertex; i < 4 * vertex + 4; i++) {
      const weight = (weights[i] ?? 0) / 255;
      if (weight === 0) continue;
      sum += weight;
      const m = 16 * (slots[i] ?? 0);
      for (let axis = 0; axis < 3; axis++) {
        const at = m + axis;
        const moved =
          (skin[at] ?? 0) * x +
          (skin[at + 4] ?? 0) * y +
          (skin[at + 8] ?? 0) * z +
          (skin[at + 12] ?? 0);
        out[3 * vertex + axis] = (out[3 * vertex + axis] ?? 0) + weight * moved;
      }
    }
    if (sum === 0) out.set([x, y, z], 3 * vertex);
  }
  return out;
}

function worldOf(parents: readonly number[], locals: Numbers): Float64Array {
  const own = Float64Array.from({ length: locals.length }, (_, i) => locals[i] ?? 0);
  const world = new Float64Array(own.length);
  parents.forEach((parent, node) => {
    if (parent === -1) world.set(own.subarray(16 * node, 16 * node + 16), 16 * node);
    else multiplyAt(world, 16 * parent, own, 16 * node, world, 16 * node);
  });
  return world;
}

function multiplyInto(a: Float64Array, b: Float64Array, out: Float64Array, index: number): void {
  multiplyAt(a, 16 * index, b, 16 * index, out, 16 * index);
}

function multiplyAt(
  a: Float64Array,
  aAt: number,
  b: Float64Array,
  bAt: number,
  out: Float64Array,
  at: number,
): void {
  const product = new Float64Array(16);
  for (let column = 0; column < 4; column++)
    for (let row = 0; row < 4; row++) {
      let sum = 0;
      for (let i = 0; i < 4; i++)
        sum += (a[aAt + 4 * i + row] ?? 0) * (b[bAt + 4 * column + i] ?? 0);
      product[4 * column + row] = sum;
    }
  out.set(product, at);
}

/** The inverse of an affine matrix; one that has none leaves zeros, and what it moves stays away. */
function invertInto(from: Float64Array, out: Float64Array, at: number): void {
  const m = (column: number, row: number): number => from[at + 4 * column + row] ?? 0;
  const cofactor = (c: number, r: number): number => {
    const [c1, c2, r1, r2] = [(c + 1) % 3, (c + 2) % 3, (r + 1) % 3, (r + 2) % 3];
    return m(c1, r1) * m(c2, r2) - m(c2, r1) * m(c1, r2);
  };
  const determinant =
    m(0, 0) * cofactor(0, 0) + m(1, 0) * cofactor(1, 0) + m(2, 0) * cofactor(2, 0);
  if (determinant === 0) return;
  for (let row = 0; row < 3; row++) {
    let moved = 0;
    for (let column = 0; column < 3; column++) {
      const value = cofactor(row, column) / determinant;
      out[at + 4 * column + row] = value;
      moved -= value * m(3, column);
    }
    out[at + 12 + row] = moved;
  }
  out[at + 15] = 1;
}
