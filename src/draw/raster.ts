import type { ShownMesh } from './rest-mesh.js';
import type { Point, Projection } from './view.js';

/** A mesh seen in one view, a pixel at a time. */
export type Raster = ReturnType<typeof rasterise>;

/** Empty pixels around what is seen, so that every outline closes. */
const BORDER = 3;

/**
 * Times that all of a picture may be painted over. Of 68 published rigs none came to more than 8; one whose
 * triangles each span the whole picture would take minutes.
 */
const MOST_LAYERS = 60;
/** What is smaller is painted all the same: it takes no time. Share of the picture. */
const SMALL_SHARE = 1e-4;

/**
 * The triangles nearest to the viewer; in a mesh that covers itself dozens of times over, not all.
 *
 * @param size Width and height of what is shown, picture units; its middle is at 0, 0.
 * @param pixels Pixels of the longer side.
 */
export function rasterise(mesh: ShownMesh, projection: Projection, size: Point, pixels: number) {
  const longest = Math.max(size[0], size[1]);
  const step = longest > 0 ? longest / pixels : 1;
  const width = Math.ceil(size[0] / step) + 2 * BORDER;
  const height = Math.ceil(size[1] / step) + 2 * BORDER;
  const raster = {
    width,
    height,
    /** Picture units a pixel; pixel (x, y) is centred at ((x + 0.5) * step + left, ...). */
    step,
    left: (-width / 2) * step,
    top: (-height / 2) * step,
    /** Index of the triangle that is seen, -1 where none is. */
    triangle: new Int32Array(width * height).fill(-1),
    /** How far towards the viewer it is, in pixels. */
    depth: new Float32Array(width * height).fill(-Infinity),
  };
  const seen = toPixels(mesh.positions, projection, raster);
  const pixelsInAll = width * height;
  let room = MOST_LAYERS * pixelsInAll;
  for (let first = 0; first + 2 < mesh.triangles.length; first += 3) {
    const [a = 0, b = 0, c = 0] = mesh.triangles.subarray(first, first + 3);
    const largest = room > 0 ? Infinity : SMALL_SHARE * pixelsInAll;
    room -= drawTriangle(raster, seen, 3 * a, 3 * b, 3 * c, first / 3, largest);
  }
  return raster;
}

/** x, y and depth a vertex, in pixels; NaN where a vertex is nowhere. */
function toPixels(
  positions: Float32Array,
  { view, centre, scale }: Projection,
  { width, height, step }: Raster,
): Float64Array {
  const out = new Float64Array(positions.length);
  const factor = scale / step;
  const [rx, ry, rz] = view.right;
  const [ux, uy, uz] = view.up;
  const [tx, ty, tz] = view.toward;
  for (let i = 0; i + 2 < positions.length; i += 3) {
    const x = ((positions[i] ?? 0) - centre[0]) * factor;
    const y = ((positions[i + 1] ?? 0) - centre[1]) * factor;
    const z = ((positions[i + 2] ?? 0) - centre[2]) * factor;
    out[i] = width / 2 + rx * x + ry * y + rz * z;
    out[i + 1] = height / 2 - (ux * x + uy * y + uz * z);
    out[i + 2] = tx * x + ty * y + tz * z;
  }
  return out;
}

/** Returns how many pixels it looked at; a triangle of more pixels than `largest` is skipped. */
function drawTriangle(
  raster: Raster,
  seen: Float64Array,
  a: number,
  b: number,
  c: number,
  index: number,
  largest: number,
): number {
  const [ax = 0, ay = 0, az = 0] = [seen[a], seen[a + 1], seen[a + 2]];
  const [bx = 0, by = 0, bz = 0] = [seen[b], seen[b + 1], seen[b + 2]];
  const [cx = 0, cy = 0, cz = 0] = [seen[c], seen[c + 1], seen[c + 2]];
  const area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay);
  // A vertex that is not made of numbers is nowhere: the area is no number either.
  if (!Number.isFinite(area) || Math.abs(area) > 2 * largest) return 0;
  const ab = Math.hypot(bx - ax, by - ay);
  const bc = Math.hypot(cx - bx, cy - by);
  const ca = Math.hypot(ax - cx, ay - cy);
  const longest = Math.max(ab, bc, ca);
  if (Math.abs(area) < longest) {
    // Thinner than a pixel: it may lie between all pixel centres, but a reed must not vanish.
    if (longest === ab) drawEdge(raster, seen, a, b, index);
    else if (longest === bc) drawEdge(raster, seen, b, c, index);
    else drawEdge(raster, seen, c, a, index);
  }
  if (area === 0) return 0;
  // Depth over the plane: z = az + (x - ax) dzx + (y - ay) dzy.
  const dzx = ((bz - az) * (cy - ay) - (cz - az) * (by - ay)) / area;
  const dzy = ((cz - az) * (bx - ax) - (bz - az) * (cx - ax)) / area;
  const { width, height, triangle, depth } = raster;
  const first = Math.max(0, Math.ceil(Math.min(ay, by, cy) - 0.5));
  const last = Math.min(height - 1, Math.floor(Math.max(ay, by, cy) - 0.5));
  let looked = 0;
  for (let row = first; row <= last; row++) {
    const y = row + 0.5;
    let [from, to] = [Infinity, -Infinity];
    if (ay <= y !== by <= y) {
      const x = ax + ((y - ay) / (by - ay)) * (bx - ax);
      from = x;
      to = x;
    }
    if (by <= y !== cy <= y) {
      const x = bx + ((y - by) / (cy - by)) * (cx - bx);
      from = Math.min(from, x);
      to = Math.max(to, x);
    }
    if (cy <= y !== ay <= y) {
      const x = cx + ((y - cy) / (ay - cy)) * (ax - cx);
      from = Math.min(from, x);
      to = Math.max(to, x);
    }
    const start = Math.max(0, Math.ceil(from - 0.5));
    const end = Math.min(width - 1, Math.floor(to - 0.5));
    looked += Math.max(0, end - start + 1);
    let z = az + (start + 0.5 - ax) * dzx + (y - ay) * dzy;
    for (let pixel = row * width + start; pixel <= row * width + end; pixel++, z += dzx) {
      if (z <= (depth[pixel] ?? Infinity)) continue;
      depth[pixel] = z;
      triangle[pixel] = index;
    }
  }
  return looked;
}

function drawEdge(raster: Raster, seen: Float64Array, a: number, b: number, index: number): void {
  const [ax = 0, ay = 0, az = 0] = seen.subarray(a, a + 3);
  const [bx = 0, by = 0, bz = 0] = seen.subarray(b, b + 3);
  const longer = Math.max(Math.abs(bx - ax), Math.abs(by - ay));
  const steps = Math.min(raster.width + raster.height, Math.ceil(longer));
  let [lastX, lastY] = [Math.floor(ax), Math.floor(ay)];
  for (let i = 0; i <= steps; i++) {
    const t = steps === 0 ? 0 : i / steps;
    const x = Math.floor(ax + t * (bx - ax));
    const y = Math.floor(ay + t * (by - ay));
    const z = az + t * (bz - az);
    // No step over a corner: outlines would come apart there.
    if (x !== lastX && y !== lastY) setPixel(raster, x, lastY, z, index);
    setPixel(raster, x, y, z, index);
    [lastX, lastY] = [x, y];
  }
}

function setPixel(raster: Raster, x: number, y: number, z: number, index: number): void {
  const { width, height, triangle, depth } = raster;
  if (x < 0 || y < 0 || x >= width || y >= height) return;
  const pixel = y * width + x;
  if (z <= (depth[pixel] ?? Infinity)) return;
  depth[pixel] = z;
  triangle[pixel] = index;
}
