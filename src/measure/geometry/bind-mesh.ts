import { type Box, diagonal } from '../../rig/box.js';
import { identity, type Mat4 } from '../../rig/mat4.js';
import { add, scale, type Vec3, vec3At } from '../../rig/vec3.js';
import { fact } from '../facts.js';
import { bindPose } from '../pose/bind-pose.js';
import { joinSurface } from './surface.js';

/** The mesh in its bind pose, world space: the box around it, and where every vertex lies. */
export interface BindMesh extends Box {
  readonly centre: Vec3;
  /** Per part: x, y, z a vertex. */
  readonly positions: readonly Float32Array[];
  /** Diagonal of the bounding box, of the joints when there is no mesh. World units. */
  readonly size: number;
}

/** The mesh of the rig in its bind pose, and the box around it. */
export const bindMesh = fact((facts): BindMesh => {
  const { standing, places } = bindPose(facts);
  // min x, y, z, max x, y, z.
  const box = Float64Array.of(Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity);
  const positions = facts.rig.parts.map((part) =>
    placeAll(part.positions, standing[part.skin] ?? identity(), box),
  );
  if (!((box[0] ?? 0) <= (box[3] ?? 0)))
    placeAll(Float32Array.from(places.flat()), identity(), box);
  const [min, max] = [vec3At(box, 0), vec3At(box, 1)];
  const size = diagonal({ min, max });
  const centre = scale(add(min, max), 1 / 2);
  return { positions, min, max, centre, size: Number.isFinite(size) ? size : 0 };
});

/** Takes points (x, y, z each) through a matrix, and grows a box around where they come to lie. */
function placeAll(source: Float32Array, m: Mat4, box: Float64Array): Float32Array {
  const [m0 = 1, m1 = 0, m2 = 0, , m4 = 0, m5 = 1, m6 = 0, , m8 = 0, m9 = 0, m10 = 1] = m;
  const [m12 = 0, m13 = 0, m14 = 0] = m.subarray(12);
  let [x0 = 0, y0 = 0, z0 = 0, x1 = 0, y1 = 0, z1 = 0] = box;
  const out = new Float32Array(source.length);
  for (let i = 0; i + 2 < out.length; i += 3) {
    const px = source[i] ?? 0;
    const py = source[i + 1] ?? 0;
    const pz = source[i + 2] ?? 0;
    const x = m0 * px + m4 * py + m8 * pz + m12;
    const y = m1 * px + m5 * py + m9 * pz + m13;
    const z = m2 * px + m6 * py + m10 * pz + m14;
    out[i] = x;
    out[i + 1] = y;
    out[i + 2] = z;
    if (x < x0) x0 = x;
    if (y < y0) y0 = y;
    if (z < z0) z0 = z;
    if (x > x1) x1 = x;
    if (y > y1) y1 = y;
    if (z > z1) z1 = z;
  }
  box.set([x0, y0, z0, x1, y1, z1]);
  return out;
}

/** All parts in the bind pose as one surface. */
export const bindRow = fact((facts) => joinSurface(facts.rig.parts, bindMesh(facts).positions));

/** Diagonal of the bind-posed mesh: what lengths are judged against. */
export const size = fact((facts): number => bindMesh(facts).size);
