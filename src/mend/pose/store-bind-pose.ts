import { bindPose } from '../../measure/pose/bind-pose.js';
import { visible } from '../../report/visible.js';
import { skew } from '../../rig/decompose.js';
import { type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { Rig } from '../../rig/types.js';
import { namedNodes } from '../carry/named-nodes.js';
import type { Editable } from '../file/editable.js';
import { keyedClips } from '../reframe/clip-table.js';
import { addInput } from '../reframe/new-curves.js';
import { relativeTo, splitOf, storedOf } from '../reframe/stored.js';
import { atMostUnit, keepUnits } from '../reframe/unit-rotation.js';
import type { MendContext } from '../repair.js';

/** What differs by less is stored as it was. */
const SAME = 1e-6;

/** Less skew is rounding of bind matrices, and stored as axes made square: clips do not hang on it. Share. */
const SKEWED = 1e-3;

const PATHS = ['translation', 'rotation', 'scale'] as const;

/**
 * Stores a rig in its bind pose. Clips pose what they key; the rest of what they showed of the stored pose
 * is added to them as constant keys, so that they play as before. Null, or why it cannot be.
 */
export function storeBindPose(context: MendContext, rig: Rig): string | null {
  const { edit } = context;
  const changed = newLocals(context, rig);
  if (typeof changed === 'string') return changed;
  const { nodes } = rig;
  const { channels } = keyedClips(edit);
  const constants = new Constants(edit);
  for (const [node, local] of changed) {
    const json = edit.json.nodes?.[node];
    if (json === undefined) continue;
    const [old, wanted] = [storedOf(nodes, node), splitOf(local)];
    const moved = PATHS.filter((path) => !isAlike(old[path], wanted[path]));
    keepInClips(constants, rig, node, moved, channels.get(node) ?? []);
    const isMatrix = json.matrix !== undefined;
    delete json.matrix;
    const stored = { ...wanted, rotation: atMostUnit(wanted.rotation) };
    for (const path of PATHS)
      if (moved.includes(path)) Object.assign(json, { [path]: [...stored[path]] });
      else if (isMatrix) Object.assign(json, { [path]: [...old[path]] });
  }
  return null;
}

/** Why a rig cannot be stored in its bind pose; null where it can. */
export function whyNotStored(context: MendContext, rig: Rig): string | null {
  const changed = newLocals(context, rig);
  return typeof changed === 'string' ? changed : null;
}

/** New local matrices of the nodes that get one; or why one of them cannot. */
function newLocals(context: MendContext, rig: Rig): Map<number, Mat4> | string {
  const { edit } = context;
  const { nodes, joints } = rig;
  const built = bindPose(context.facts(rig)).world;
  const world = Float64Array.from(nodes.world);
  const changed = new Map<number, Mat4>();
  for (const node of nodes.order) {
    const parent = nodes.parent[node] ?? -1;
    const above = parent === -1 ? null : mat4At(world, parent);
    const joint = joints.ofNode[node] ?? -1;
    const local = mat4At(nodes.local, node);
    if (joint !== -1) {
      const wanted = relativeTo(above, mat4At(built, joint));
      if (wanted === null || skew(wanted) > SKEWED)
        return `"${visible(joints.names[joint] ?? '')}" is skewed in the bind pose, and no node can store that`;
      if (wanted.some((value, at) => Math.abs(value - (local[at] ?? 0)) > SAME))
        changed.set(node, wanted);
    }
    const present = changed.get(node) ?? local;
    mat4At(world, node).set(above === null ? present : multiply(above, present));
  }
  const { placed } = namedNodes(edit.json);
  const named = [...changed.keys()].find((node) => placed.has(node));
  if (named !== undefined)
    return `an extension names "${visible(nodes.names[named] ?? `node ${named}`)}", and its data depends on the stored pose`;
  return changed;
}

/** Two quaternions make the same turn. */
function isAlike(a: readonly number[], b: readonly number[]): boolean {
  const isNear = (sign: 1 | -1): boolean =>
    a.every((value, at) => Math.abs(value - sign * (b[at] ?? 0)) <= SAME);
  return isNear(1) || (a.length === 4 && isNear(-1));
}

/** Accessors of constant keys, each once: many nodes share a time or a scale. */
class Constants {
  private readonly known = new Map<string, number>();

  constructor(readonly edit: Editable) {}

  input(time: number): number {
    return this.accessor(`at ${time}`, () => addInput(this.edit, Float32Array.of(time)));
  }

  output(path: (typeof PATHS)[number], stored: readonly number[]): number {
    const values = Float32Array.from(stored);
    if (path === 'rotation') keepUnits(values, false);
    const type = path === 'rotation' ? 'VEC4' : 'VEC3';
    return this.accessor(`${type} ${values}`, () => this.edit.add(type, values));
  }

  private accessor(key: string, make: () => number): number {
    const known = this.known.get(key) ?? make();
    this.known.set(key, known);
    return known;
  }
}

/** Keys at the start of each clip of the rig for what a node stored and the clip does not key. */
function keepInClips(
  constants: Constants,
  rig: Rig,
  node: number,
  moved: readonly (typeof PATHS)[number][],
  keyed: readonly { readonly animation: number; readonly path: string }[],
): void {
  const stored = storedOf(rig.nodes, node);
  for (const { index, channels } of rig.clips) {
    const clip = constants.edit.json.animations?.[index];
    if (clip === undefined) continue;
    for (const path of moved) {
      if (keyed.some((key) => key.animation === index && key.path === path)) continue;
      const first = channels.reduce((least, { times }) => Math.min(least, times[0] ?? 0), Infinity);
      const input = constants.input(Number.isFinite(first) ? first : 0);
      const output = constants.output(path, stored[path]);
      const sampler = clip.samplers.push({ input, output, interpolation: 'STEP' }) - 1;
      clip.channels.push({ sampler, target: { node, path } });
    }
  }
}
