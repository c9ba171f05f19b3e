import { distance, type Vec3 } from '../rig/vec3.js';
import type { Skeleton } from './skeleton.js';

/** How far apart two places may be, in sizes of the rig, and two shares of skin. */
const ROUNDING = 1e-4;

/** Steps a joint that a comparison takes at most; far more than joints lying on each other need. */
const MOST_STEPS = 1000;

/**
 * Whether two skeletons have the same joint tree, bind places and shares of skin to rounding, in any
 * order of siblings and turned by any quarter turns.
 */
export function sameSkeleton(a: Skeleton, b: Skeleton): boolean {
  if (a.tree !== b.tree) return false;
  if (!close(a.distances, b.distances) || !close(a.sortedShares, b.sortedShares)) return false;
  return QUARTER_TURNS.some((turn) => new Comparison(a, b, turn).same());
}

function close(a: readonly number[], b: readonly number[]): boolean {
  return (
    a.length === b.length && a.every((value, at) => Math.abs(value - (b[at] ?? 0)) <= ROUNDING)
  );
}

/** For each axis of the turned place: which axis of the old one, and its sign. */
type Turn = readonly (readonly [axis: 0 | 1 | 2, sign: 1 | -1])[];

/** The 24 ways to turn axes onto axes without mirroring; as they are comes first. */
const QUARTER_TURNS: readonly Turn[] = turns();

function turns(): Turn[] {
  const orders = [
    [0, 1, 2, 1],
    [1, 2, 0, 1],
    [2, 0, 1, 1],
    [0, 2, 1, -1],
    [2, 1, 0, -1],
    [1, 0, 2, -1],
  ] as const;
  const signs = [1, -1] as const;
  return orders.flatMap(([x, y, z, parity]) =>
    signs.flatMap((sx) =>
      signs.map((sy): Turn => {
        // The third sign makes it a turn instead of a mirroring.
        const sz = parity * sx * sy === 1 ? 1 : -1;
        return [
          [x, sx],
          [y, sy],
          [z, sz],
        ];
      }),
    ),
  );
}

/** One try to lay the joints of one skeleton on those of another. */
class Comparison {
  private left: number;
  private readonly a: Skeleton;
  private readonly b: Skeleton;
  private readonly turned: readonly Vec3[];

  constructor(a: Skeleton, b: Skeleton, turn: Turn) {
    this.a = a;
    this.b = b;
    this.left = MOST_STEPS * a.places.length;
    this.turned = b.places.map((place) => {
      const [x = 0, y = 0, z = 0] = turn.map(([axis, sign]) => sign * place[axis]);
      return [x, y, z];
    });
  }

  same(): boolean {
    return this.laid(this.a.tops, this.b.tops);
  }

  /** Whether each of some siblings has one of its own among others. */
  private laid(siblings: readonly number[], others: readonly number[]): boolean {
    const free = new Set(others);
    return (
      siblings.length === others.length &&
      siblings.every((joint) => {
        for (const other of free) {
          if (this.left-- <= 0) return false;
          if (!this.alike(joint, other)) continue;
          free.delete(other);
          return true;
        }
        return false;
      })
    );
  }

  private alike(joint: number, other: number): boolean {
    const [place, there] = [this.a.places[joint], this.turned[other]];
    if (place === undefined || there === undefined) return false;
    const share = Math.abs((this.a.shares[joint] ?? 0) - (this.b.shares[other] ?? 0));
    if (!(distance(place, there) <= ROUNDING && share <= ROUNDING)) return false;
    return this.laid(this.a.children[joint] ?? [], this.b.children[other] ?? []);
  }
}
