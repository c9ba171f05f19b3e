import { targetOf } from '../../asset/animation-pointer.js';
import type { Quaternion } from '../../rig/quaternion.js';
import type { RigModel } from '../../rig/types.js';
import type { Vec3 } from '../../rig/vec3.js';
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
  readonly names: ReadonlyMap<number, string>;
  readonly channels: ReadonlyMap<number, readonly KeyedChannel[]>;
  /** Clips that move any of some nodes, in order. */
  moving(nodes: readonly number[]): number[];
}

const PATHS = ['translation', 'rotation', 'scale'] as const;

export function keyedClips(edit: Editable, { rigs }: RigModel): ClipTable {
  const channels = new Map<number, KeyedChannel[]>();
  const names = new Map(
    rigs.flatMap(({ clips }) => clips.map(({ index, name }) => [index, name] as const)),
  );
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
  return { names, channels, moving };
}

/** The keys of a node in one clip, without tangents. */
export function clipKeys(table: ClipTable, clip: number, node: number): Keys {
  const translation: Vec3[] = [];
  const rotation: Quaternion[] = [];
  const scale: Vec3[] = [];
  for (const { animation, path, interpolation, values } of table.channels.get(node) ?? []) {
    if (animation !== clip) continue;
    const size = path === 'rotation' ? 4 : 3;
    const [stride, skip] = interpolation === 'CUBICSPLINE' ? [3 * size, size] : [size, 0];
    for (let at = skip; at + size <= values.length; at += stride) {
      const [x = 0, y = 0, z = 0, w = 1] = values.subarray(at, at + size);
      if (path === 'rotation') rotation.push([x, y, z, w]);
      else (path === 'translation' ? translation : scale).push([x, y, z]);
    }
  }
  return { translation, rotation, scale };
}
