import type { Influence } from '../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';
import type { TinyJoint, TinySkin } from './tiny-rig.js';

/** A piece of tube along X that one joint moves: the joint's index, and where it begins and ends. */
export type TubeSpan = readonly [joint: number, from: number, to: number];

/** A chain along X from 0 on, its bones of the lengths given; frames that aim along X. */
export function straightChain(lengths: readonly number[]): TinyJoint[] {
  let x = 0;
  return [0, ...lengths].map((length, index) => {
    x += length;
    return { name: `link_${index}`, parent: index - 1, at: [x, 0, 0] };
  });
}

/** Square tubes about the X axis, open at both ends, each of one joint alone. */
export function chainSkin(spans: readonly TubeSpan[], half = 0.1): TinySkin {
  const corners = [
    [half, half],
    [-half, half],
    [-half, -half],
    [half, -half],
  ] as const;
  const ring = (x: number): Vec3[] => corners.map(([y, z]): Vec3 => [x, y, z]);
  return {
    positions: spans.flatMap(([, from, to]) => [...ring(from), ...ring(to)]),
    triangles: spans.flatMap((_, span) =>
      corners.flatMap((_corner, k): [number, number, number][] => {
        const [a, b] = [8 * span + k, 8 * span + ((k + 1) % 4)];
        return [
          [a, b, a + 4],
          [b, b + 4, a + 4],
        ];
      }),
    ),
    influences: spans.flatMap(([joint]) =>
      Array.from({ length: 8 }, (): Influence[] => [[joint, 1]]),
    ),
  };
}
