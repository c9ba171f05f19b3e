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
 * makes the mesh upright, if its scale agrees. Where it does not (a quantised mesh has a scale of
 * its own baked in, and holders can have been cleared), a joint that the pose has left upright
 * shows how.
 */
export function standUp(facts: Facts, reference: Mat4, skin: RigSkin, joint: number): Mat4 {
  const { rig } = facts;
  const holder = rig.holders.at(-1);
  const above = holder === undefined ? identity() : mat4At(rig.nodes.world, holder);
  const inverse = invert(mat4At(skin.inverseBind, skin.slotOfJoint[joint] ?? 0));
  const ratio = Math.cbrt(Math.abs(determinant3(reference) / determinant3(above)));
  if (inverse === null || !(ratio > 0) || !Number.isFinite(ratio) || squareWithin(above, reference))
    return reference;
  const { moves } = skinMass(facts);
  const isPosed = skin.jointOfSlot.some(
    (other) => moves[other] !== 0 && !near(skinningMatrix(rig, skin, other), reference),
  );
  // A rig stored in its bind pose stays as it is, however its holders are turned.
  if (!isPosed) return reference;
  const upright = Math.abs(ratio - 1) < SAME_SCALE ? above : uprightBy(facts, skin, above, ratio);
  if (upright === null) return reference;
  // The heaviest joint keeps its stored place.
  const built = origin(inverse);
  const placed = Float64Array.from(upright);
  const [now, then] = [transformPoint(placed, built), transformPoint(reference, built)];
  for (let axis = 0; axis < 3; axis++)
    placed[12 + axis] = (placed[12 + axis] ?? 0) + (then[axis] ?? 0) - (now[axis] ?? 0);
  return placed;
}

/** Scales that differ by less are alike. Share. */
const SAME_SCALE = 0.01;
/** A joint is upright when its axes lie this near to those of its holders. Degrees. */
const UPRIGHT_DEGREES = 1;

/** The holders' matrix, scaled, in the quarter turns of the most upright joint; null for none. */
function uprightBy({ rig }: Facts, skin: RigSkin, above: Mat4, scale: number): Mat4 | null {
  let best: Turned | null = null;
  for (const joint of skin.jointOfSlot) {
    const found = nearestSquare(above, skinningMatrix(rig, skin, joint), scale);
    if (found !== null && found.lean < (best?.lean ?? UPRIGHT_DEGREES)) best = found;
  }
  return best?.turned ?? null;
}

/** A matrix in quarter turns, and how many degrees another leans off it. */
type Turned = { readonly turned: Mat4; readonly lean: number };

/** The holders' matrix in the quarter turns nearest to another matrix; null for no turn. */
function nearestSquare(above: Mat4, matrix: Mat4, scale: number): Turned | null {
  const turned = Float64Array.from(above);
  const taken = new Set<number>();
  let lean = 0;
  for (let to = 0; to < 3; to++) {
    const axis = direction(column(matrix, to));
    if (axis === null) return null;
    const dots = [0, 1, 2].map((from) => dot(direction(column(above, from)) ?? [0, 0, 0], axis));
    const sizes = dots.map(Math.abs);
    const from = sizes.indexOf(Math.max(...sizes));
    const value = dots[from] ?? 0;
    taken.add(from);
    lean = Math.max(lean, degrees(Math.acos(Math.min(1, Math.abs(value)))));
    const [x, y, z] = column(above, from);
    const by = scale * Math.sign(value);
    turned.set([by * x, by * y, by * z], 4 * to);
  }
  // A mirror, and two axes that take the same one, are no turn.
  const isTurn = taken.size === 3 && !(determinant3(turned) * determinant3(above) <= 0);
  return isTurn ? { turned, lean } : null;
}

/** Whether two matrices turn alike, or differ by quarter and half turns: within a degree. */
function squareWithin(a: Mat4, b: Mat4): boolean {
  const axes = (matrix: Mat4): Vec3[] =>
    [0, 1, 2].map((axis) => direction(column(matrix, axis)) ?? [0, 0, 0]);
  const square = Math.cos(Math.PI / 180);
  return axes(a).every((u) => axes(b).some((v) => Math.abs(dot(u, v)) > square));
}
