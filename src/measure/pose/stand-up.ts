import {
  column,
  determinant3,
  identity,
  invert,
  type Mat4,
  mat4At,
  origin,
  transformPoint,
} from '../../rig/mat4.js';
import type { RigSkin } from '../../rig/types.js';
import { degrees, direction, dot, type Vec3 } from '../../rig/vec3.js';
import type { Facts } from '../facts.js';
import { skinMass } from '../skin/skin-mass.js';
import { near, skinningMatrix } from './skinning-matrix.js';

/**
 * Stored in a pose, the heaviest joint may lean, and M_ref with it: the bind-posed mesh would lean
 * too, and have no midline. Inverse binds are taken below the holders, so the holders' own matrix
 * stands the mesh up, if its scale agrees. Where it does not (a quantised mesh has a scale of its own
 * baked in, and holders can have been cleared), a joint that the pose has left upright shows how.
 */
export function standUp(
  facts: Facts,
  reference: Mat4,
  skin: RigSkin | undefined,
  joint: number,
): Mat4 {
  const { rig } = facts;
  const holder = rig.holders.at(-1);
  const above = holder === undefined ? identity() : mat4At(rig.nodes.world, holder);
  const inverse =
    skin === undefined ? null : invert(mat4At(skin.inverseBind, skin.slotOfJoint[joint] ?? 0));
  const ratio = Math.cbrt(Math.abs(determinant3(reference) / determinant3(above)));
  if (inverse === null || !(ratio > 0) || !Number.isFinite(ratio) || squareWithin(above, reference))
    return reference;
  // Stored in its bind pose it stands where it stands, however its holders are turned.
  if (skin === undefined || sharesMatrix(facts, skin, reference)) return reference;
  const upright = Math.abs(ratio - 1) < SAME_SCALE ? above : uprightBy(facts, skin, above, ratio);
  if (upright === null) return reference;
  // The heaviest joint keeps its stored place.
  const built = origin(inverse);
  const stood = Float64Array.from(upright);
  const [now, then] = [transformPoint(stood, built), transformPoint(reference, built)];
  for (let axis = 0; axis < 3; axis++)
    stood[12 + axis] = (stood[12 + axis] ?? 0) + (then[axis] ?? 0) - (now[axis] ?? 0);
  return stood;
}

/** Scales that differ by less are one. Share. */
const SAME_SCALE = 0.01;

/** A joint is upright when its axes lie this near to those of its holders. Degrees. */
const UPRIGHT_DEGREES = 1;

/**
 * The holders' matrix at another scale, turned by quarter turns as the most upright joint of the skin is.
 * Null where the pose has left none upright.
 */
function uprightBy({ rig }: Facts, skin: RigSkin, above: Mat4, scale: number): Mat4 | null {
  let best: { readonly turned: Mat4; readonly lean: number } | null = null;
  for (const joint of skin.jointOfSlot) {
    const found = nearestSquare(above, skinningMatrix(rig, skin, joint), scale);
    if (found !== null && found.lean < (best?.lean ?? UPRIGHT_DEGREES)) best = found;
  }
  return best?.turned ?? null;
}

/** The matrix of the holders by quarter turns as near to another as they come, and how far that leans off it. */
function nearestSquare(
  above: Mat4,
  matrix: Mat4,
  scale: number,
): { readonly turned: Mat4; readonly lean: number } | null {
  const turned = Float64Array.from(above);
  const taken = new Set<number>();
  let lean = 0;
  for (let to = 0; to < 3; to++) {
    const axis = direction(column(matrix, to));
    if (axis === null) return null;
    const dots = [0, 1, 2].map((from) => dot(direction(column(above, from)) ?? [0, 0, 0], axis));
    const from = dots.reduce((most, value, at) => {
      return Math.abs(value) > Math.abs(dots[most] ?? 0) ? at : most;
    }, 0);
    const value = dots[from] ?? 0;
    taken.add(from);
    lean = Math.max(lean, degrees(Math.acos(Math.min(1, Math.abs(value)))));
    const [x, y, z] = column(above, from);
    const by = scale * Math.sign(value);
    turned.set([by * x, by * y, by * z], 4 * to);
  }
  // A mirror, and axes that share one, are no turn.
  return taken.size < 3 || determinant3(turned) * determinant3(above) <= 0
    ? null
    : { turned, lean };
}

/** Whether all joints that move skin turn it as the reference does: then the rig is not posed. */
function sharesMatrix(facts: Facts, skin: RigSkin, reference: Mat4): boolean {
  const { moves } = skinMass(facts);
  return skin.jointOfSlot.every((joint) => {
    return moves[joint] === 0 || near(skinningMatrix(facts.rig, skin, joint), reference);
  });
}

/** Whether two matrices turn alike, or differ by quarter and half turns: within a degree. */
function squareWithin(a: Mat4, b: Mat4): boolean {
  const axes = (matrix: Mat4): Vec3[] =>
    [0, 1, 2].map((axis) => direction(column(matrix, axis)) ?? [0, 0, 0]);
  const square = Math.cos(Math.PI / 180);
  return axes(a).every((u) => axes(b).some((v) => Math.abs(dot(u, v)) > square));
}
