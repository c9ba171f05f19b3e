import { describe, expect, it } from 'vitest';
import { type Raster, rasterise } from '../../src/draw/raster.js';
import { VIEWS } from '../../src/draw/view.js';

const PIXELS = 100;

/** Sheets over the whole picture, each before the last, and then a patch before them all. */
function stacked(sheets: number, patch: number): Raster {
  const corners: [number, number][] = [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ];
  const square = (half: number, z: number): number[] =>
    corners.flatMap(([x, y]) => [half * x, half * y, z]);
  const positions = Float32Array.from([
    ...Array.from({ length: sheets }, (_, at) => square(1, at / sheets)).flat(),
    ...square(patch, 2),
  ]);
  const triangles = Uint32Array.from(
    Array.from({ length: sheets + 1 }, (_, at) => [0, 1, 2, 0, 2, 3].map((v) => 4 * at + v)).flat(),
  );
  const projection = { view: VIEWS[0], centre: [0, 0, 0] as const, scale: 1 };
  return rasterise({ positions, triangles }, projection, [2, 2], PIXELS);
}

/** The triangle that is seen in the middle of the picture, a little off the diagonals. */
function middle({ triangle, width, height }: Raster): number {
  return triangle[Math.floor(height / 2) * width + Math.floor(width / 2) + 1] ?? -1;
}

describe('a mesh that covers itself', () => {
  it('a dozen times over shows what is nearest', () => {
    expect(Math.floor(middle(stacked(12, 0.5)) / 2)).toBe(12);
  });

  it('hundreds of times over is painted until nothing more would be told by it', () => {
    const nearest = Math.floor(middle(stacked(500, 0.5)) / 2);
    expect(nearest).toBeGreaterThan(50);
    expect(nearest).toBeLessThan(80);
  });

  it('hundreds of times over still shows what is small', () => {
    const { triangle } = stacked(500, 0.009);
    expect([...triangle].some((index) => index >= 1000)).toBe(true);
  });
});
