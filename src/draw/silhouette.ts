import { creasePixels } from './creases.js';
import { outlinePath } from './outline.js';
import { type Raster, rasterise } from './raster.js';
import type { ShownMesh } from './rest-mesh.js';
import type { Point, Projection } from './view.js';

/** Pixels of the longer side: about as many as a sheet shows. */
const PIXELS = 420;
/** Letters of each path at most; for 0 creases are not looked for. */
const LETTERS = { body: 16_000, creases: 16_000 };

/** A mesh as one view shows it: filled paths in picture units, the middle at 0, 0. */
export type Silhouette = ReturnType<typeof makeSilhouette>;

/** @param size Width and height shown, picture units. */
export function makeSilhouette(
  mesh: ShownMesh,
  projection: Projection,
  size: Point,
  letters = LETTERS,
) {
  if (mesh.triangles.length === 0) return { body: '', creases: '', area: 0, covers: () => false };
  const raster = rasterise(mesh, projection, size, PIXELS);
  const inside = new Uint8Array(raster.triangle.length);
  for (let pixel = 0; pixel < inside.length; pixel++)
    inside[pixel] = raster.triangle[pixel] === -1 ? 0 : 1;
  const body = { level: 0.4, leastArea: 2, letters: letters.body, tolerance: 0.35 };
  const creases = { level: 0.3, leastArea: 6, letters: letters.creases, tolerance: 0.3 };
  return {
    body: outlinePath(inside, raster, body),
    creases:
      letters.creases === 0
        ? ''
        : outlinePath(creasePixels(mesh, projection, raster), raster, creases),
    /** What of the picture is covered, in square picture units. */
    area: inside.reduce((sum, pixel) => sum + pixel, 0) * raster.step ** 2,
    /** Whether the body covers a point. */
    covers: (point: Point) => coversPoint(raster, point),
  };
}

function coversPoint({ width, height, left, top, step, triangle }: Raster, [x, y]: Point): boolean {
  const [column, row] = [Math.floor((x - left) / step), Math.floor((y - top) / step)];
  if (column < 0 || row < 0 || column >= width || row >= height) return false;
  return triangle[row * width + column] !== -1;
}
