import { multiply } from '../../rig/mat4.js';
import { multiplyQuaternions, type Quaternion } from '../../rig/quaternion.js';
import type { NodeTable } from '../../rig/types.js';
import { type Vec3, vec3At } from '../../rig/vec3.js';
import { carryExtensions } from '../carry/carry-extensions.js';
import { framesOfSteps } from '../carry/step-frames.js';
import type { Editable } from '../file/editable.js';
import type { NodeJson } from '../file/gltf-json.js';
import { takeBackFrames } from '../file/inverse-bind.js';
import { setOrDrop } from '../file/node-transform.js';
import { type KeyChange, rewriteKeys } from '../file/rewrite-keys.js';
import type { Step } from './refit.js';
import {
  isNoChange,
  isTurned,
  matrixOf,
  moved,
  nearOne,
  type Similarity,
  scaleAlone,
  turnedAndScaled,
} from './similarity.js';

/**
 * Stores what a plan found: local transforms, the clips that move them, inverse bind matrices, and what
 * extensions give in the frames of nodes.
 */
export function applyRefit(
  edit: Editable,
  nodes: NodeTable,
  steps: ReadonlyMap<number, Step>,
): void {
  const frames = framesOfSteps(nodes, steps);
  carryExtensions(edit, frames);
  for (const [index, step] of steps) {
    const node = edit.json.nodes?.[index];
    if (node === undefined) continue;
    if (step.local !== null) setLocal(node, step.local);
    else if (node.matrix !== undefined) {
      const local = multiply(matrixOf(step.before), Float64Array.from(node.matrix));
      node.matrix = [...multiply(local, matrixOf(scaleAlone(step.frame.scale)))];
    } else changeLocal(node, nodes, index, step);
  }
  changeClips(edit, steps);
  takeBackFrames(edit, frames);
}

function setLocal(node: NodeJson, { translation, rotation, scale }: Similarity): void {
  delete node.matrix;
  setOrDrop(node, 'translation', translation);
  if (rotation.slice(0, 3).some((value) => value !== 0)) node.rotation = [...rotation];
  else delete node.rotation;
  setOrDrop(node, 'scale', [scale, scale, scale]);
}

function changeLocal(
  node: NodeJson,
  { translation, rotation, scale }: NodeTable,
  index: number,
  { before, factor }: Step,
): void {
  if (!isNoChange(before))
    setOrDrop(node, 'translation', moved(before, vec3At(translation, index)));
  if (isTurned(before)) {
    const [x = 0, y = 0, z = 0, w = 1] = rotation.subarray(4 * index);
    node.rotation = [...multiplyQuaternions(before.rotation, [x, y, z, w])];
  }
  if (factor !== 1)
    setOrDrop(
      node,
      'scale',
      vec3At(scale, index).map((value) => nearOne(value * factor)),
    );
}

/**
 * Keys take the same constant products as the stored transform. These are linear but for the move of a
 * translation, which tangents do not take.
 */
function changeClips(edit: Editable, steps: ReadonlyMap<number, Step>): void {
  rewriteKeys(edit, (node, path) => {
    const step = steps.get(node);
    return step === undefined ? null : changeOfKeys(path, step);
  });
}

/** Null where the keys stay as they are. */
function changeOfKeys(path: string, { before, factor }: Step): KeyChange | null {
  if (path === 'translation' && !isNoChange(before))
    return ([x = 0, y = 0, z = 0], isTangent) => {
      const place: Vec3 = [x, y, z];
      return isTangent ? turnedAndScaled(before, place) : moved(before, place);
    };
  if (path === 'rotation' && isTurned(before))
    return ([x = 0, y = 0, z = 0, w = 1]) => {
      const key: Quaternion = [x, y, z, w];
      return multiplyQuaternions(before.rotation, key);
    };
  if (path === 'scale' && factor !== 1) return (key) => [...key].map((value) => value * factor);
  return null;
}
