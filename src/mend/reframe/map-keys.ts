import { targetOf } from '../../asset/animation-pointer.js';
import { conjugate, type Quaternion } from '../../rig/quaternion.js';
import type { Vec3 } from '../../rig/vec3.js';
import type { Editable } from '../file/editable.js';
import { ownSampler, readFloats } from '../file/sampler-values.js';
import type { OutputUser } from '../json/accessor-users.js';
import type { KeyMaps } from './key-maps.js';
import type { Plan } from './reframing.js';

/** Changes the keys of all nodes that keep their parent, where they stand. */
export function mapKeys(edit: Editable, { nodes, parents }: Plan): void {
  const clipsOf = new Map(nodes.map(({ node, clips }) => [node, clips]));
  const written: (readonly [OutputUser, Float32Array])[] = [];
  edit.json.animations?.forEach(({ channels, samplers }, animation) => {
    channels.forEach((item, channel) => {
      const target = targetOf(item.target);
      const maps = clipsOf.get(target?.node ?? -1)?.get(animation);
      if (target === null || maps == null || parents.has(target.node) || !has(maps, target.path))
        return;
      const sampler = ownSampler(edit.json, animation, channel);
      const values = readFloats(edit, { kind: 'output', animation, sampler });
      if (values === null) return;
      const keys = { path: target.path, interpolation: samplers[sampler]?.interpolation, values };
      written.push([{ kind: 'output', animation, sampler }, mapped(keys, maps)]);
    });
  });
  edit.writeEach(written);
}

type Path = keyof KeyMaps;

function has(maps: KeyMaps, path: string): path is Path {
  return path in maps;
}

interface KeyList {
  readonly path: Path;
  readonly interpolation: string | undefined;
  /** In-tangent, value, out-tangent for a cubic spline. */
  readonly values: Float32Array;
}

/** The keys of one channel after their maps, tangents included; turned back before them where asked. */
export function mapped(
  { path, interpolation, values }: KeyList,
  { translation, rotation, scale }: KeyMaps,
  isInverse = false,
): Float32Array {
  const size = path === 'rotation' ? 4 : 3;
  const isCubic = interpolation === 'CUBICSPLINE';
  const out = Float32Array.from(values);
  for (let at = 0; at + size <= values.length; at += size) {
    const isTangent = isCubic && (at / size) % 3 !== 1;
    const [x = 0, y = 0, z = 0, w = 0] = values.subarray(at, at + size);
    const turn: Quaternion = isInverse ? conjugate([x, y, z, w]) : [x, y, z, w];
    const value: Vec3 = [x, y, z];
    const made =
      path === 'rotation'
        ? rotation?.(turn, isTangent)
        : path === 'translation'
          ? translation?.(value, isTangent)
          : scale?.(value);
    if (made !== undefined) out.set(made, at);
  }
  return out;
}
