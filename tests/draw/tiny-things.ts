import type { TinySkin } from '../support/tiny-rig.js';

/** A cube about the middle, moved by the first joint. */
export function cube(half: number): TinySkin {
  const positions: [number, number, number][] = [];
  for (const x of [-half, half])
    for (const y of [-half, half]) for (const z of [-half, half]) positions.push([x, y, z]);
  return {
    positions,
    triangles: [
      [0, 1, 3],
      [0, 3, 2],
      [4, 6, 7],
      [4, 7, 5],
      [0, 4, 5],
      [0, 5, 1],
      [2, 3, 7],
      [2, 7, 6],
      [0, 2, 6],
      [0, 6, 4],
      [1, 5, 7],
      [1, 7, 3],
    ],
    influences: positions.map(() => [['0', 1] as const]),
  };
}
