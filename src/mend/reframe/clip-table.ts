import { targetOf } from '../../asset/animation-pointer.js';
import { memberOf } from '../../asset/narrow.js';
import { visible } from '../../report/visible.js';
import type { Quaternion } from '../../rig/quaternion.js';
import { type Vec3, vec3At } from '../../rig/vec3.js';
import type { Editable } from '../file/editable.js';
import { readFloats } from '../file/sampler-values.js';
import type { Keys } from './key-maps.js';

/** One channel that moves a node. */
export interface KeyedChannel {
  readonly animation: number;
  readonly channel: number;
  readonly sampler: number;
  readonly path: 'translation' | 'rotation' | 'scale';
  readonly interpolation: string;
  /** As floats: in-tangent, value, out-tangent for a cubic spline. */
  readonly values: Float32Array;
}

/** Which clips move which nodes, as the file stands. */
export interface ClipTable {
  readonly channels: ReadonlyMap<number, readonly KeyedChannel[]>;
  /** Clips that move any of some nodes, in order. */
  moving(nodes: readonly number[]): number[];
  /** Whether a clip moves or scales a node, besides turning it. */
  travels(node: number, clip: number): boolean;
  /** As people are shown it. */
  nameOf(clip: number): string;
}

const PATHS = ['translation', 'rotation', 'scale'] as const;

export function keyedClips(edit: Editable): ClipTable {
  const channels = new Map<number, KeyedChannel[]>();
  edit.json.animations?.forEach((clip, animation) => {
    clip.channels.forEach(({ target, sampler }, channel) => {
      const moved = targetOf(target);
      const path = PATHS.find((item) => item === moved?.path);
      if (path === undefined || moved === null) return;
      const values = readFloats(edit, { kind: 'output', animation, sampler });
      if (values === null) return;
      const { interpolation = 'LINEAR' } = clip.samplers[sampler] ?? {};
      const own = channels.get(moved.node) ?? [];
      own.push({ animation, channel, sampler, path, interpolation, values });
      channels.set(moved.node, own);
    });
  });
  const moving = (nodes: readonly number[]): number[] =>
    [
      ...new Set(
        nodes.flatMap((node) => (channels.get(node) ?? []).map(({ animation }) => animation)),
      ),
    ].sort((a, b) => a - b);
  const travels = (node: number, clip: number): boolean =>
    (channels.get(node) ?? []).some(
      ({ animation, path }) => animation === clip && path !== 'rotation',
    );
  const nameOf = (clip: number): string => {
    const name = memberOf(edit.json.animations?.[clip], 'name');
    return visible(typeof name === 'string' ? name : `clip ${clip + 1}`);
  };
  return { channels, moving, travels, nameOf };
}

/** What one clip does to a node. */
export function clipKeys(table: ClipTable, clip: number, node: number): Keys {
  const own = (table.channels.get(node) ?? []).filter(({ animation }) => animation === clip);
  return {
    // A move of a place by a constant goes along with travel.
    moves: own.some(({ path }) => path !== 'translation'),
    turns: own.flatMap((channel) => (channel.path === 'rotation' ? turnsOf(channel) : [])),
    scales: own.flatMap((channel) => (channel.path === 'scale' ? scalesOf(channel) : [])),
  };
}

/** Of each span between two keys the quaternions that are mixed; of a lone key itself. */
function turnsOf({ interpolation, values }: KeyedChannel): Quaternion[][] {
  const all: Quaternion[] = [];
  for (let at = 0; at + 4 <= values.length; at += 4) {
    const [x = 0, y = 0, z = 0, w = 1] = values.subarray(at, at + 4);
    all.push([x, y, z, w]);
  }
  if (interpolation === 'STEP') return all.map((key) => [key]);
  const size = interpolation === 'CUBICSPLINE' ? 3 : 1;
  const count = all.length / size;
  if (count < 2) return [all];
  // A spline mixes value and out-tangent of one key with in-tangent and value of the next.
  return Array.from({ length: count - 1 }, (_, key) =>
    size === 1 ? all.slice(key, key + 2) : all.slice(3 * key + 1, 3 * key + 5),
  );
}

/** All keys and tangents: their maps are linear. */
function scalesOf({ values }: KeyedChannel): Vec3[] {
  const all: Vec3[] = [];
  for (let at = 0; at + 3 <= values.length; at += 3) all.push(vec3At(values, at / 3));
  return all;
}
