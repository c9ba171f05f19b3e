import type { SkinnedPart } from '../rig/types.js';
import type { Vec3 } from '../rig/vec3.js';
import { bindPose } from './bind-pose.js';
import { fact } from './facts.js';

/** The mesh in its bind pose, world space. */
export interface BindMesh {
  /** Per part: x, y, z a vertex. */
  readonly positions: readonly Float32Array[];
  readonly min: Vec3;
  readonly max: Vec3;
  readonly centre: Vec3;
  /** Diagonal of the bounding box, of the joints when there is no mesh. World units. */
  readonly size: number;
}

/** Takes every vertex to its place in the bind pose. */
export const bindMesh = fact((facts): BindMesh => {
  const { standing, places } = bindPose(facts);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const grow = (x: number, y: number, z: number): void => {
    if (x < (low[0] ?? 0)) low[0] = x;
    if (y < (low[1] ?? 0)) low[1] = y;
    if (z < (low[2] ?? 0)) low[2] = z;
    if (x > (high[0] ?? 0)) high[0] = x;
    if (y > (high[1] ?? 0)) high[1] = y;
    if (z > (high[2] ?? 0)) high[2] = z;
  };
  const positions = facts.rig.parts.map((part) => {
    const matrix = standing[part.skin];
    return matrix === undefined ? part.positions : transformAll(part, matrix, grow);
  });
  if (!((low[0] ?? 0) <= (high[0] ?? 0))) for (const place of places) grow(...place);
  const min: Vec3 = [low[0] ?? 0, low[1] ?? 0, low[2] ?? 0];
  const max: Vec3 = [high[0] ?? 0, high[1] ?? 0, high[2] ?? 0];
  const size = Math.hypot(max[0] - min[0], max[1] - min[1], max[2] - min[2]);
  const centre: Vec3 = [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2];
  return { positions, min, max, centre, size: Number.isFinite(size) ? size : 0 };
});

function transformAll(
  part: SkinnedPart,
  m: Float64Array,
  grow: (x: number, y: number, z: number) => void,
): Float32Array {
  const [
    m0 = 1,
    m1 = 0,
    m2 = 0,
    ,
    m4 = 0,
    m5 = 1,
    m6 = 0,
    ,
    m8 = 0,
    m9 = 0,
    m10 = 1,
    ,
    m12 = 0,
    m13 = 0,
    m14 = 0,
  ] = m;
  const out = new Float32Array(part.positions.length);
  for (let i = 0; i + 2 < out.length; i += 3) {
    const x = part.positions[i] ?? 0;
    const y = part.positions[i + 1] ?? 0;
    const z = part.positions[i + 2] ?? 0;
    const wx = m0 * x + m4 * y + m8 * z + m12;
    const wy = m1 * x + m5 * y + m9 * z + m13;
    const wz = m2 * x + m6 * y + m10 * z + m14;
    out[i] = wx;
    out[i + 1] = wy;
    out[i + 2] = wz;
    grow(wx, wy, wz);
  }
  return out;
}

/** Diagonal of the bind-posed mesh: what lengths are judged against. */
export const size = fact((facts): number => bindMesh(facts).size);
