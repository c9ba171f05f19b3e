import type { Influence } from '../../fixtures/kit/mesh-part.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';
import type { TinySkin } from './tiny-rig.js';

/** An open tube along X between two joints: slot 0 holds what stands, slot 1 what turns. */
export interface BlendTube {
  /** Ends of the blend; half as much again of rigid tube follows on each side. */
  readonly from: number;
  readonly to: number;
  /** Rings from one end of the blend to the other, both counted once. */
  readonly steps: number;
  readonly radius: number;
  /** Height of the middle over the X axis. */
  readonly height?: number;
  /** Share of what turns, at 0 to 1 of the blend; the part itself when absent. */
  readonly share?: (part: number) => number;
  readonly around?: number;
}

export function blendTube(tube: BlendTube): TinySkin {
  const { from, to, steps, radius, height = 0, share = (part) => part, around = 16 } = tube;
  const parts = [-0.5, ...Array.from({ length: steps + 1 }, (_, i) => i / steps), 1.5];
  const spokes = Array.from({ length: around }, (_, k) => k);
  const vertex = (ring: number, k: number): number => ring * around + (k % around);
  return {
    positions: parts.flatMap((part) =>
      spokes.map((k): Vec3 => {
        const angle = (2 * Math.PI * k) / around;
        const [y, z] = [height + radius * Math.cos(angle), radius * Math.sin(angle)];
        return [from + (to - from) * part, y, z];
      }),
    ),
    triangles: parts.slice(1).flatMap((_, ring) =>
      spokes.flatMap((k): [number, number, number][] => {
        const [a, b] = [vertex(ring, k), vertex(ring, k + 1)];
        const [c, d] = [vertex(ring + 1, k), vertex(ring + 1, k + 1)];
        // Every other diagonal runs the other way: all alike would dent or bulge under a twist.
        return k % 2 === 0
          ? [
              [a, b, c],
              [c, b, d],
            ]
          : [
              [a, b, d],
              [a, d, c],
            ];
      }),
    ),
    influences: parts.flatMap((part) => {
      const turning = Math.fround(share(Math.min(1, Math.max(0, part))));
      return spokes.map((): Influence[] => [
        [0, 1 - turning],
        [1, turning],
      ]);
    }),
  };
}

/** The same skin with every corner a vertex of its own, as a file with hard edges stores it. */
export function cutApart(skin: TinySkin): TinySkin {
  const corners = skin.triangles.flat();
  return {
    positions: corners.flatMap((vertex) => skin.positions.slice(vertex, vertex + 1)),
    influences: corners.flatMap((vertex) => skin.influences.slice(vertex, vertex + 1)),
    triangles: skin.triangles.map((_, i) => [3 * i, 3 * i + 1, 3 * i + 2]),
  };
}
