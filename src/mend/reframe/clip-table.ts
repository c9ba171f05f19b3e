import { targetOf } from '../../asset/animation-pointer.js';
import { memberOf } from '../../asset/narrow.js';
import { visible } from '../../report/visible.js';
import type { Quaternion } from '../../rig/quaternion.js';
import { vec3At } from '../../rig/vec3.js';
import type { Editable } from '../file/editable.js';
import { readFloats } from '../file/sampler-values.js';
import type { Keys } from './key-maps.js';

export interface KeyedChannel {
  readonly animation: number;
  readonly channel: number;
  readonly sampler: number;
  readonly path: 'translation' | 'rotation' | 'scale';
  readonly interpolation: string;
  /** As floats: in-tangent, value, out-tangent for a cubic spline. */
  readonly values: Float32Array;
}

/** Which clips move which nodes, as the file is now. */
export interface ClipTable {
  readonly channels: ReadonlyMap<number, readonly KeyedChannel[]>;
  /** Clips that move any of some nodes, in order. */
  moving(nodes: readonly number[]): number[];
  /** As people are shown it. */
  nameOf(clip: number): string;
}

export const PATHS = ['translation', 'rotation', 'scale'] as const;

export function keyedClips(edit: Editable): ClipTable {
  const channels = new Map<number, KeyedChannel[]>();
  edit.json.animations?.forEach((clip, animation) => {
    clip.channels.forEach(({ target, sampler }, channel) => {
      const moved = targetOf(target);
      const path = PATHS.find((known) => known === moved?.path);
      if (path === undefined || moved === null) return;
      const values = readFloats(edit, { kind: 'output', animation, sampler });
      if (values === null) return;
      const { interpolation = 'LINEAR' } = clip.samplers[sampler] ?? {};
      const keyed = { animation, channel, sampler, path, interpolation, values };
      const known = channels.get(moved.node);
      if (known === undefined) channels.set(moved.node, [keyed]);
      else known.push(keyed);
    });
  });
  const moving = (nodes: readonly number[]): number[] => {
    const keyed = nodes.flatMap((node) => channels.get(node) ?? []);
    return [...new Set(keyed.map(({ animation }) => animation))].sort((a, b) => a - b);
  };
  const nameOf = (clip: number): string => {
    const name = memberOf(edit.json.animations?.[clip], 'name');
    return visible(typeof name === 'string' ? name : `clip ${clip + 1}`);
  };
  return { channels, moving, nameOf };
}

export function clipKeys({ channels }: ClipTable, clip: number, node: number): Keys {
  const keyed = (channels.get(node) ?? []).filter(({ animation }) => animation === clip);
  return {
    movesOrScales: keyed.some(({ path }) => path !== 'rotation'),
    turnsOrScales: keyed.some(({ path }) => path !== 'translation'),
    turns: keyed.filter(({ path }) => path === 'rotation').flatMap(turnsOf),
    // All keys and tangents: their maps are linear.
    scales: keyed
      .filter(({ path }) => path === 'scale')
      .flatMap(({ values }) => elementsOf(values, 3, (at) => vec3At(values, at))),
  };
}

/** Of each span between two keys the quaternions that are mixed; of a lone key itself. */
function turnsOf({ interpolation, values }: KeyedChannel): Quaternion[][] {
  const all = elementsOf(values, 4, (at): Quaternion => {
    const [x = 0, y = 0, z = 0, w = 1] = values.subarray(4 * at, 4 * at + 4);
    return [x, y, z, w];
  });
  if (interpolation === 'STEP') return all.map((key) => [key]);
  const size = interpolation === 'CUBICSPLINE' ? 3 : 1;
  const count = all.length / size;
  if (count < 2) return [all];
  // A spline mixes value and out-tangent of one key with in-tangent and value of the next.
  return Array.from({ length: count - 1 }, (_, key) =>
    size === 1 ? all.slice(key, key + 2) : all.slice(3 * key + 1, 3 * key + 5),
  );
}

function elementsOf<T>(values: Float32Array, size: number, read: (at: number) => T): T[] {
  return Array.from({ length: Math.floor(values.length / size) }, (_, at) => read(at));
}
