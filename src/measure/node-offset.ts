import { turnDegrees } from '../rig/decompose.js';
import { mat4At, transformDirection } from '../rig/mat4.js';
import type { Rig } from '../rig/types.js';
import { length, vec3At } from '../rig/vec3.js';

/** How far a node's stored transform is from none. */
export interface NodeOffset {
  /** Length of the translation in world space. World units. */
  readonly move: number;
  /** Angle of the rotation, 0 to 180 degrees. */
  readonly turn: number;
  /** Whether the rotation is a quarter or half turn about one of the axes. */
  readonly squareTurn: boolean;
  /** Geometric mean of the scale's magnitudes. */
  readonly scale: number;
  /** Whether the scale is even, does not mirror, and is 1 or another power of ten. */
  readonly scaleIsPowerOfTen: boolean;
}

/** An axis or a quarter turn is met when within this. Degrees. */
const SQUARE_DEGREES = 0.1;
/** Scales within this share count as equal. */
const SCALE_SHARE = 1e-3;

/** Measures a node's own transform; its translation is taken to world space by the nodes above it. */
export function nodeOffset(rig: Rig, node: number): NodeOffset {
  const { nodes } = rig;
  const parent = nodes.parent[node] ?? -1;
  const translation = vec3At(nodes.translation, node);
  const world =
    parent === -1 ? translation : transformDirection(mat4At(nodes.world, parent), translation);
  const [x = 0, y = 0, z = 0, w = 1] = nodes.rotation.subarray(4 * node, 4 * node + 4);
  const turn = turnDegrees([x, y, z, w]);
  const axis = [x, y, z].map(Math.abs);
  const along = Math.max(...axis) / (Math.hypot(x, y, z) || 1);
  const onAxis = Math.acos(Math.min(1, along)) * (180 / Math.PI) <= SQUARE_DEGREES;
  const [sx, sy, sz] = vec3At(nodes.scale, node);
  const scale = Math.cbrt(Math.abs(sx * sy * sz));
  const even = [sx, sy, sz].every((part) => Math.abs(part / scale - 1) <= SCALE_SHARE);
  const power = Math.log10(scale);
  return {
    move: length(world),
    turn,
    squareTurn: onAxis && [90, 180].some((quarter) => Math.abs(turn - quarter) <= SQUARE_DEGREES),
    scale,
    scaleIsPowerOfTen: even && Math.abs(10 ** (power - Math.round(power)) - 1) <= SCALE_SHARE,
  };
}
