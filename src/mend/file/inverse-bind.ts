import { identity, invert, type Mat4, mat4At, multiply } from '../../rig/mat4.js';
import type { AccessorUser } from '../json/accessor-users.js';
import type { Editable } from './editable.js';

/** Inverse bind matrices of a skin, 16 numbers a slot; identities where the file gives none (glTF 2.0, 5.28). */
export function inverseBindOf(edit: Editable, skin: number): Float64Array {
  const { joints = [] } = edit.json.skins?.[skin] ?? {};
  const out = new Float64Array(16 * joints.length);
  joints.forEach((_, slot) => {
    out.set(identity(), 16 * slot);
  });
  const stored = edit.read({ kind: 'inverse bind', skin });
  if (stored !== null) out.set(Float64Array.from(stored).subarray(0, out.length));
  return out;
}

/** Gives skins other inverse bind matrices, and accessors for them where they have none. */
export function writeInverseBinds(
  edit: Editable,
  matrices: ReadonlyMap<number, Float64Array>,
): void {
  const written: (readonly [AccessorUser, Float32Array])[] = [];
  for (const [skin, own] of matrices) {
    const item = edit.json.skins?.[skin];
    if (item === undefined) continue;
    const values = stored(own);
    if (item.inverseBindMatrices === undefined) item.inverseBindMatrices = edit.add('MAT4', values);
    else written.push([{ kind: 'inverse bind', skin }, values]);
  }
  edit.writeEach(written);
}

function stored(matrices: Float64Array): Float32Array {
  const values = Float32Array.from(matrices);
  // The last row is 0 0 0 1 to the bit (glTF 2.0, 3.7.3.1).
  for (let at = 0; at < values.length; at += 16) {
    values[at + 3] = 0;
    values[at + 7] = 0;
    values[at + 11] = 0;
    values[at + 15] = 1;
  }
  return values;
}

/**
 * Takes a change of frames back: with W' = W C of a joint, B' = C^-1 B keeps W B.
 *
 * @param frames By node, C; of other nodes nothing changes.
 */
export function takeBackFrames(edit: Editable, frames: ReadonlyMap<number, Mat4>): void {
  const shown = new Set(edit.json.nodes?.map((node) => node.skin));
  const taken = new Map<number, Float64Array>();
  edit.json.skins?.forEach(({ joints, inverseBindMatrices }, skin) => {
    if (!joints.some((joint) => frames.has(joint))) return;
    // Without matrices and without a mesh a skin only names joints, and nothing is to be taken back.
    if (inverseBindMatrices === undefined && !shown.has(skin)) return;
    const matrices = inverseBindOf(edit, skin);
    joints.forEach((joint, slot) => {
      const frame = frames.get(joint);
      const back = frame && invert(frame);
      if (back == null) return;
      const matrix = mat4At(matrices, slot);
      matrix.set(multiply(back, Float64Array.from(matrix)));
    });
    taken.set(skin, matrices);
  });
  writeInverseBinds(edit, taken);
}
