import { decompose, meanFactor, turnDegrees } from '../../rig/decompose.js';
import { identity, mat4At, multiply, transformDirection } from '../../rig/mat4.js';
import type { ClipChannel, NodeTable, Rig } from '../../rig/types.js';
import { degrees, length, type Vec3, vec3At } from '../../rig/vec3.js';
import { fact } from '../facts.js';
import { size } from '../geometry/bind-mesh.js';

/** What the holders above a rig add up to. */
export interface HolderSum {
  /** Holders that are moved, turned or scaled, from the scene down. */
  readonly nodes: readonly number[];
  /** The one of them that moves most, and the one that turns most; -1 for none. */
  readonly mover: number;
  readonly turner: number;
  /** How far they move what hangs on them. World units. */
  readonly move: Vec3;
  /** Angle of the whole rotation, 0 to 180 degrees. */
  readonly turn: number;
  /** Angle to the nearest of the 24 rotations that take axes to axes. Degrees. */
  readonly tilt: number;
  /** Geometric mean of the magnitudes of the scale. */
  readonly scale: number;
}

/**
 * For each tree of nodes that a rig stands in: the product of the local transforms of its holders,
 * from the scene down to just above the topmost joints. Two conversions that undo each other add up
 * to nothing. A node that a clip poses is part of the motion and left out.
 */
export const holderSums = fact((facts): readonly HolderSum[] => {
  const { rig } = facts;
  const noMove = NO_MOVE * size(facts);
  const posed = posedHolders(rig);
  const unposed = rig.holderWays.map((chain) => chain.filter((node) => !posed.has(node)));
  return unposed.map((holders) => sumOf(rig, holders, noMove));
});

function sumOf(rig: Rig, holders: readonly number[], noMove: number): HolderSum {
  let world = identity();
  const moves = new Map<number, number>();
  for (const node of holders) {
    moves.set(node, length(transformDirection(world, vec3At(rig.nodes.translation, node))));
    world = multiply(world, mat4At(rig.nodes.local, node));
  }
  const { translation, rotation, scale } = decompose(world);
  const moveOf = (node: number): number => moves.get(node) ?? 0;
  const turnOf = (node: number): number => nodeOffset(rig, node).turn;
  const nodes = holders.filter(
    (node) =>
      moveOf(node) > noMove ||
      turnOf(node) > NO_TURN ||
      vec3At(rig.nodes.scale, node).some((factor) => Math.abs(factor - 1) > NO_SCALE),
  );
  return {
    nodes,
    mover: [...nodes].sort((a, b) => moveOf(b) - moveOf(a))[0] ?? -1,
    turner: [...nodes].sort((a, b) => turnOf(b) - turnOf(a))[0] ?? -1,
    move: translation,
    turn: turnDegrees(rotation),
    tilt: tiltDegrees(rotation),
    scale: meanFactor(scale),
  };
}

/** A shorter move is what float32 leaves of none. Share of size. */
const NO_MOVE = 1e-6;
/** A smaller turn is what float32 leaves of none. Degrees. */
const NO_TURN = 1e-3;
/** A factor nearer to 1 is what float32 leaves of it. */
const NO_SCALE = 1e-5;
/** A key nearer to what is stored repeats it. Share of the larger of 1 and the stored number. */
const SAME_KEY = 1e-4;

/**
 * Angle from a rotation to the nearest of the 24 that take axes to axes. As unit quaternions those
 * are (1, 0, 0, 0), (1, 1, 0, 0) / sqrt 2 and (1, 1, 1, 1) / 2 with their parts in any order and
 * with any signs (the binary octahedral group, common knowledge), so the nearest has the largest
 * product with the sorted magnitudes.
 */
export function tiltDegrees(rotation: readonly [number, number, number, number]): number {
  const length = Math.hypot(...rotation) || 1;
  const [a = 0, b = 0, c = 0, d = 0] = rotation
    .map((part) => Math.abs(part) / length)
    .sort((least, most) => most - least);
  const cosine = Math.max(a, (a + b) / Math.SQRT2, (a + b + c + d) / 2);
  // Near a square turn the cosine says little: the sine of the angle does.
  const square = cosine === a ? [1, 0, 0, 0] : cosine > (a + b + c + d) / 2 ? HALF : WHOLE;
  const parts = [a, b, c, d].map((part, at) => part - (square[at] ?? 0) * cosine);
  return degrees(2 * Math.atan2(Math.hypot(...parts), cosine));
}

const HALF = [Math.SQRT1_2, Math.SQRT1_2, 0, 0];
const WHOLE = [0.5, 0.5, 0.5, 0.5];

/**
 * Holders that a clip poses, which are part of the motion. Exports that key everything repeat what is
 * stored, which poses nothing; a node of which only the rotation is keyed is meant to turn all the same.
 */
export function posedHolders(rig: Pick<Rig, 'clips' | 'holderWays' | 'nodes'>): Set<number> {
  const posed = new Set<number>();
  const holders = new Set(rig.holderWays.flat());
  for (const { channels, keyed } of rig.clips) {
    for (const channel of channels)
      if (holders.has(channel.node) && !repeats(rig.nodes, channel)) posed.add(channel.node);
    for (const [node, paths] of keyed)
      if (holders.has(node) && paths.size === 1 && paths.has('rotation')) posed.add(node);
  }
  return posed;
}

/** Whether all keys of a channel are what its node stores. */
function repeats(nodes: NodeTable, { node, path, values, size: parts }: ClipChannel): boolean {
  const stored = nodes[path].subarray(parts * node, parts * (node + 1));
  const near = SAME_KEY * Math.max(1, ...stored.map(Math.abs));
  for (let at = 0; at < values.length; at += parts) {
    const key = values.subarray(at, at + parts);
    // Two quaternions make the same turn.
    const sign =
      path === 'rotation' && key.reduce((sum, v, i) => sum + v * (stored[i] ?? 0), 0) < 0;
    if (key.some((value, i) => Math.abs((sign ? -value : value) - (stored[i] ?? 0)) > near))
      return false;
  }
  return true;
}

/**
 * How far a node's stored transform is from none: `move` is the length of its translation in world
 * units, taken there by the nodes above it, `turn` the angle of its rotation, 0 to 180 degrees.
 */
export function nodeOffset({ nodes }: Rig, node: number): { move: number; turn: number } {
  const parent = nodes.parent[node] ?? -1;
  const translation = vec3At(nodes.translation, node);
  const above = parent === -1 ? identity() : mat4At(nodes.world, parent);
  const [x = 0, y = 0, z = 0, w = 1] = nodes.rotation.subarray(4 * node, 4 * node + 4);
  return { move: length(transformDirection(above, translation)), turn: turnDegrees([x, y, z, w]) };
}
