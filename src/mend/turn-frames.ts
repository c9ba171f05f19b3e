import { UsageError } from '../asset/errors.js';
import type { Facts } from '../measure/facts.js';
import { bindPose } from '../measure/pose/bind-pose.js';
import { compose, determinant3, mat4At, multiply } from '../rig/mat4.js';
import { conjugate, multiplyQuaternions, type Quaternion, rotate } from '../rig/quaternion.js';
import type { Rig } from '../rig/types.js';
import type { Vec3 } from '../rig/vec3.js';
import { carryExtensions, notCarried } from './carry/carry-extensions.js';
import type { Editable } from './file/editable.js';
import type { GltfJson, NodeJson } from './file/gltf-json.js';
import { takeBackFrames } from './file/inverse-bind.js';
import { rewriteKeys } from './file/rewrite-keys.js';
import { contentOf } from './repairs/node-content.js';
import { hasNoMatrix } from './repairs/refit-facts.js';

/** A constant turn of each node's frame, about the node itself and in its own frame; unit quaternions. */
export type Turns = ReadonlyMap<number, Quaternion>;

const NONE: Quaternion = [0, 0, 0, 1];

/** Scales that differ by less are one scale; what that hides is far below what is seen. Share of the largest. */
const UNIFORM = 1e-4;

/** Whether three scales are not one. */
export function unevenScale(scale: ArrayLike<number>): boolean {
  const [x = 1, y = 1, z = 1] = Array.from(scale);
  const largest = Math.max(Math.abs(x), Math.abs(y), Math.abs(z));
  return Math.max(Math.abs(x - y), Math.abs(y - z), Math.abs(z - x)) > UNIFORM * largest;
}

/**
 * Turns the frames of joints and takes everything that hangs on them back, so that nothing is seen to
 * move. With C the turn of a node and P that of its parent, a local transform L becomes P^-1 L C: a
 * rotation P^-1 R C, a translation P^-1 T. Rotation and translation keys, and the tangents of cubic
 * splines, take the same constant products, which are linear, so that curves stay exact. An inverse
 * bind matrix becomes C^-1 B. Children that are no joints are taken back like any other, and what
 * extensions give in the frames goes along.
 *
 * Throws UsageError for a turn of a node that is scaled unequally: no TRS holds the outcome; and for
 * one that an extension cannot follow.
 */
export function turnFrames(edit: Editable, turns: Turns): void {
  const nodes = edit.json.nodes ?? [];
  const parents = parentsOf(nodes);
  const turnOf = (node: number): Quaternion => turns.get(node) ?? NONE;
  const parentTurn = (node: number): Quaternion => {
    const parent = parents[node];
    return parent === undefined || parent === -1 ? NONE : turnOf(parent);
  };
  const concerned = (node: number): boolean =>
    turns.has(node) || (parents[node] !== undefined && turns.has(parents[node] ?? -1));
  const frames = framesOf(turns);
  carryExtensions(edit, frames);
  nodes.forEach((node, index) => {
    if (concerned(index)) turnNode(node, conjugate(parentTurn(index)), turnOf(index), index);
  });
  rewriteKeys(edit, (node, path) => {
    if (!concerned(node)) return null;
    const [before, after] = [conjugate(parentTurn(node)), turnOf(node)];
    if (path === 'translation') return ([x = 0, y = 0, z = 0]) => rotate(before, [x, y, z]);
    if (path === 'rotation')
      return ([x = 0, y = 0, z = 0, w = 0]) =>
        multiplyQuaternions(multiplyQuaternions(before, [x, y, z, w]), after);
    return null;
  });
  takeBackFrames(edit, frames);
}

/** The C of each turned node. */
export function framesOf(turns: Turns): Map<number, Float64Array> {
  return new Map([...turns].map(([node, turn]) => [node, rotationMatrix(turn)]));
}

/**
 * Takes out of a set of turns those that an extension cannot follow. Extensions tie nodes together, so
 * that the turns have to be asked about together.
 *
 * @returns Why each node that was taken out is not turned.
 */
export function takeOutUncarried(
  json: GltfJson,
  turns: Map<number, Quaternion>,
): Map<number, string> {
  const why = new Map<number, string>();
  for (;;) {
    const obstacles = notCarried(json, framesOf(turns));
    const before = turns.size;
    for (const { nodes, why: reason } of obstacles)
      for (const node of nodes) if (turns.delete(node)) why.set(node, reason);
    // An obstacle always names a node that is turned; a file that brings about another is turned nowhere.
    if (obstacles.length === 0 || turns.size === before) return why;
  }
}

/** Why a joint's frame cannot be turned exactly, whatever extensions say; null when it can. */
export function whyNotTurned(facts: Facts, joint: number, json: GltfJson): string | null {
  const { rig } = facts;
  const node = rig.joints.node[joint] ?? 0;
  const content = contentOf(json, node);
  if (content !== null)
    return `it carries ${content}, which would turn with it; move that to a separate node below it`;
  if (hasNoMatrix(rig, joint))
    return 'it has no inverse bind matrix that could make up for the turn; bind the mesh again and export';
  if (determinant3(mat4At(bindPose(facts).world, joint)) < 0)
    return 'its transform mirrors, and no turn can undo that';
  const uneven = unevenScale(rig.nodes.scale.subarray(3 * node, 3 * node + 3));
  if (uneven) return 'it is scaled unequally; mend its scale first';
  return scaledUnequallyByClip(rig, node) ? 'a clip scales it, and a scale cannot be turned' : null;
}

function scaledUnequallyByClip(rig: Rig, node: number): boolean {
  return rig.clips.some(({ channels }) =>
    channels.some((channel) => {
      if (channel.node !== node || channel.path !== 'scale') return false;
      for (let i = 0; i + 2 < channel.values.length; i += 3)
        if (unevenScale(channel.values.subarray(i, i + 3))) return true;
      return false;
    }),
  );
}

function turnNode(node: NodeJson, before: Quaternion, after: Quaternion, index: number): void {
  if (node.matrix !== undefined) {
    const local = Float64Array.from(node.matrix);
    node.matrix = [...multiply(multiply(rotationMatrix(before), local), rotationMatrix(after))];
    return;
  }
  const { translation, rotation = NONE, scale } = node;
  if (translation !== undefined) node.translation = [...rotate(before, asVec3(translation))];
  const [x = 0, y = 0, z = 0, w = 1] = rotation;
  const turned = multiplyQuaternions(multiplyQuaternions(before, [x, y, z, w]), after);
  node.rotation = [...unit(turned)];
  if (scale === undefined || after === NONE) return;
  if (unevenScale(scale))
    throw new UsageError(
      `node ${index} ("${node.name ?? ''}") is scaled unequally (${scale.join(', ')}), so its frame cannot be turned; mend its scale first`,
    );
}

function asVec3([x = 0, y = 0, z = 0]: readonly number[]): Vec3 {
  return [x, y, z];
}

function parentsOf(nodes: readonly NodeJson[]): number[] {
  const parents = nodes.map(() => -1);
  nodes.forEach(({ children }, node) => {
    for (const child of children ?? []) parents[child] = node;
  });
  return parents;
}

function unit([x, y, z, w]: Quaternion): Quaternion {
  const length = Math.hypot(x, y, z, w);
  return [x / length, y / length, z / length, w / length];
}

function rotationMatrix(turn: Quaternion): Float64Array {
  const matrix = new Float64Array(16);
  compose([0, 0, 0], turn, [1, 1, 1], matrix);
  return matrix;
}
