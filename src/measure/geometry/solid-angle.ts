import type { Surface } from './surface.js';

/** A product that shrinks below this is brought back to 1: far above what a float64 loses. */
const SMALL = 1e-100;

/**
 * The solid angle that triangles fill as seen from a point: those numbered `order[first]` to
 * `order[last - 1]`. Each fills -2π to 2π, positive where the point sees its back:
 * tan(Ω/2) = a . (b x c) / (|a||b||c| + (a . b)|c| + (b . c)|a| + (c . a)|b|), for corners a, b, c
 * seen from the point (Van Oosterom and Strackee, "The solid angle of a plane triangle", 1983; from
 * memory). A point on a triangle gives some number in that range.
 *
 * One arc tangent for all: each triangle's fraction is a complex number whose argument is Ω/2, and
 * the argument of their product is the sum, once full turns are counted: the product goes through
 * the negative real axis when its imaginary part changes sign against the turn of the triangle.
 */
export function sumSolidAngles(
  surface: Surface,
  order: Int32Array,
  first: number,
  last: number,
  x: number,
  y: number,
  z: number,
): number {
  const { positions: p, triangles } = surface;
  let re = 1;
  let im = 0;
  let turns = 0;
  for (let i = first; i < last; i++) {
    const t = 3 * (order[i] ?? 0);
    const a = 3 * (triangles[t] ?? 0);
    const b = 3 * (triangles[t + 1] ?? 0);
    const c = 3 * (triangles[t + 2] ?? 0);
    const ax = (p[a] ?? 0) - x;
    const ay = (p[a + 1] ?? 0) - y;
    const az = (p[a + 2] ?? 0) - z;
    const bx = (p[b] ?? 0) - x;
    const by = (p[b + 1] ?? 0) - y;
    const bz = (p[b + 2] ?? 0) - z;
    const cx = (p[c] ?? 0) - x;
    const cy = (p[c + 1] ?? 0) - y;
    const cz = (p[c + 2] ?? 0) - z;
    const la = Math.sqrt(ax * ax + ay * ay + az * az);
    const lb = Math.sqrt(bx * bx + by * by + bz * bz);
    const lc = Math.sqrt(cx * cx + cy * cy + cz * cz);
    const all = la * lb * lc;
    // The point is a corner: the triangle fills no angle that could be told.
    if (!(all > 0)) continue;
    const per = 0.25 / all;
    const over =
      per * (ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx));
    const under =
      0.25 +
      per *
        (lc * (ax * bx + ay * by + az * bz) +
          la * (bx * cx + by * cy + bz * cz) +
          lb * (cx * ax + cy * ay + cz * az));
    const before = im;
    im = re * over + im * under;
    re = re * under - before * over;
    if (over > 0 && before >= 0 && im < 0) turns++;
    else if (over < 0 && before < 0 && im >= 0) turns--;
    const extent = Math.abs(re) + Math.abs(im);
    if (extent < SMALL) {
      re = extent > 0 ? re / extent : 1;
      im = extent > 0 ? im / extent : 0;
    }
  }
  return 2 * (Math.atan2(im, re) + 2 * Math.PI * turns);
}
