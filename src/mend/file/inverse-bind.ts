import { identity, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { AccessorUser } from '../json/accessor-users.js';
import type { Editable } from './editable.js';

/** Inverse bind matrices of a skin, 16 numbers a slot; identities where the file gives none (glTF 2.0, 5.28). */
export function inverseBindOf(edit: Editable, skin: number): Float64Array {
  const { joints = [] } = edit.json.skins?.[skin] ?? {};
  const out = new Float64Array(16 * joints.length);
  for (let slot = 0; slot < joints.length; slot++) out.set(identity(), 16 * slot);
  const stored = edit.read({ kind: 'inverse bind', skin });
  if (stored !== null) out.set(stored.subarray(0, out.length));
  return out;
}

/** Gives skins other inverse bind matrices, and accessors for them where they have none. */
export function writeInverseBinds(
  edit: Editable,
  matricesOf: ReadonlyMap<number, Float64Array>,
): void {
  const written: (readonly [AccessorUser, Float32Array])[] = [];
  for (const [skin, matrices] of matricesOf) {
    const json = edit.json.skins?.[skin];
    if (json === undefined) continue;
    const values = Float32Array.from(matrices);
    // The last row is 0 0 0 1 to the bit (glTF 2.0, 3.7.3.1).
    for (let at = 3; at < values.length; at += 4) values[at] = at % 16 === 15 ? 1 : 0;
    if (json.inverseBindMatrices === undefined) json.inverseBindMatrices = edit.add('MAT4', values);
    else written.push([{ kind: 'inverse bind', skin }, values]);
  }
  edit.writeEach(written);
}

/**
 * Makes up for a change of frames: with W' = W C of a joint, B' = C^-1 B keeps W B.
 *
 * @param frames C by node; of other nodes nothing changes.
 */
export function takeBackFrames(edit: Editable, frames: ReadonlyMap<number, Mat4>): void {
  const shownSkins = new Set(edit.json.nodes?.map((node) => node.skin));
  const changed = new Map<number, Float64Array>();
  edit.json.skins?.forEach(({ joints, inverseBindMatrices }, skin) => {
    if (!joints.some((joint) => frames.has(joint))) return;
    // Without matrices and without a mesh a skin only names joints, and there is nothing to make up for.
    if (inverseBindMatrices === undefined && !shownSkins.has(skin)) return;
    const matrices = inverseBindOf(edit, skin);
    joints.forEach((joint, slot) => {
      const frame = frames.get(joint);
      const back = frame && invert(frame);
      if (back == null) return;
      multiply(back, mat4At(matrices, slot), mat4At(matrices, slot));
    });
    changed.set(skin, matrices);
  });
  writeInverseBinds(edit, changed);
}
