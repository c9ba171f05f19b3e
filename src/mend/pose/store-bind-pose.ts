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
  const { channels } = keyedClips(edit);
  for (const [node, local] of changed) {
    const json = edit.json.nodes?.[node];
    if (json === undefined) continue;
    keepInClips(edit, rig, node, channels.get(node) ?? []);
    delete json.matrix;
    const stored = splitOf(local);
    const rotation = atMostUnit(stored.rotation);
    for (const path of PATHS) Object.assign(json, { [path]: [...{ ...stored, rotation }[path]] });
  }
  return null;
}

/** Keys at the start of each clip of the rig for what a node stored and the clip does not key. */
function keepInClips(
  edit: Editable,
  rig: Rig,
  node: number,
  keyed: readonly { readonly animation: number; readonly path: string }[],
): void {
  const stored = storedOf(rig.nodes, node);
  for (const { index, channels } of rig.clips) {
    const clip = edit.json.animations?.[index];
    if (clip === undefined) continue;
    for (const path of PATHS) {
      if (keyed.some((key) => key.animation === index && key.path === path)) continue;
      const first = Math.min(...channels.map(({ times }) => times[0] ?? 0));
      const input = addInput(edit, Float32Array.of(Number.isFinite(first) ? first : 0));
      const type = path === 'rotation' ? 'VEC4' : 'VEC3';
      const values = Float32Array.from(stored[path]);
      const output = edit.add(type, path === 'rotation' ? keepUnits(values, false) : values);
      const sampler = clip.samplers.push({ input, output, interpolation: 'STEP' }) - 1;
      clip.channels.push({ sampler, target: { node, path } });
    }
  }
}
