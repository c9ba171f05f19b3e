import { targetOf } from '../../asset/animation-pointer.js';
import type { Editable } from './editable.js';
import { ownSampler, readFloats } from './sampler-values.js';

/** What a key becomes. Tangents of a cubic spline are differences, which take no move (glTF 2.0, C.5). */
export type KeyChange = (key: Float32Array, isTangent: boolean) => readonly number[];

/**
 * Changes the keys of all clips.
 *
 * @param changeOf For a node and what is moved of it (`translation`, `rotation`, `scale`): what its keys become,
 * or null where they stay.
 */
export function rewriteKeys(
  edit: Editable,
  changeOf: (node: number, path: string) => KeyChange | null,
): void {
  const written: Parameters<Editable['writeEach']>[0][number][] = [];
  edit.json.animations?.forEach(({ channels, samplers }, animation) => {
    channels.forEach((item, channel) => {
      const target = targetOf(item.target);
      const change = target === null ? null : changeOf(target.node, target.path);
      if (target === null || change === null) return;
      const sampler = ownSampler(edit.json, animation, channel);
      const values = readFloats(edit, { kind: 'output', animation, sampler });
      if (values === null) return;
      const isCubic = samplers[sampler]?.interpolation === 'CUBICSPLINE';
      const size = target.path === 'rotation' ? 4 : 3;
      const changed = Float32Array.from(values);
      for (let at = 0; at + size <= values.length; at += size) {
        // In-tangent, value, out-tangent.
        const isTangent = isCubic && (at / size) % 3 !== 1;
        changed.set(change(values.subarray(at, at + size), isTangent), at);
      }
      written.push([{ kind: 'output', animation, sampler }, changed]);
    });
  });
  edit.writeEach(written);
}
