// Source: VRMC_node_constraint 1.0, the three sections Example of Implementation, written here anew on
// three.js.
import { type Object3D, Quaternion, Vector3 } from 'three';
import { memberOf } from '../../src/asset/narrow.js';
import { at, numberAt, type Stood } from './carried.js';

const AXES: Readonly<Record<string, Vector3>> = {
  X: new Vector3(1, 0, 0),
  Y: new Vector3(0, 1, 0),
  Z: new Vector3(0, 0, 1),
  PositiveX: new Vector3(1, 0, 0),
  PositiveY: new Vector3(0, 1, 0),
  PositiveZ: new Vector3(0, 0, 1),
  NegativeX: new Vector3(-1, 0, 0),
  NegativeY: new Vector3(0, -1, 0),
  NegativeZ: new Vector3(0, 0, -1),
};

function axisOf(constraint: unknown, key: string): Vector3 {
  const axis = AXES[String(at(constraint, key))];
  if (axis === undefined) throw new Error(`no ${key}`);
  return axis.clone();
}

/** The rotation that the constraint of a node gives it as the file now stands; `rest` as it was loaded. */
export function constrained(
  { json, object }: Stood,
  destination: number,
  rest: ReadonlyMap<number, Quaternion>,
): Quaternion {
  const kinds = at(json, 'nodes', destination, 'extensions', 'VRMC_node_constraint', 'constraint');
  const restOf = (node: number): Quaternion => (rest.get(node) ?? new Quaternion()).clone();
  const dstRestQuat = restOf(destination);
  const dst = object(destination);
  const [kind = ''] = Object.keys(kinds as object);
  const constraint = memberOf(kinds, kind);
  const source = numberAt(constraint, 'source');
  const weight = numberAt(constraint, 'weight');
  const src = object(source);
  const slerp = (target: Quaternion): Quaternion => dstRestQuat.clone().slerp(target, weight);
  if (kind === 'aim') {
    const parent = worldRotation(dst.parent);
    const fromVec = axisOf(constraint, 'aimAxis').applyQuaternion(
      parent.clone().multiply(dstRestQuat),
    );
    const toVec = src.getWorldPosition(new Vector3()).sub(dst.getWorldPosition(new Vector3()));
    const fromTo = new Quaternion().setFromUnitVectors(fromVec, toVec.normalize());
    return slerp(parent.clone().invert().multiply(fromTo).multiply(parent).multiply(dstRestQuat));
  }
  const srcRestQuat = restOf(source);
  const delta = srcRestQuat.clone().invert().multiply(src.quaternion);
  if (kind === 'rotation') return slerp(dstRestQuat.clone().multiply(delta));
  const inParent = srcRestQuat.clone().multiply(delta).multiply(srcRestQuat.clone().invert());
  const inDst = dstRestQuat.clone().invert().multiply(inParent).multiply(dstRestQuat);
  const axis = axisOf(constraint, 'rollAxis');
  const fromTo = new Quaternion().setFromUnitVectors(axis, axis.clone().applyQuaternion(inDst));
  return slerp(dstRestQuat.clone().multiply(fromTo.invert()).multiply(inDst));
}

function worldRotation(object: Object3D | null): Quaternion {
  return object === null ? new Quaternion() : object.getWorldQuaternion(new Quaternion());
}

/** The rotations that nodes store. */
export function localRotations({ nodes }: Stood): Map<number, Quaternion> {
  return new Map([...nodes].map(([node, object]) => [node, object.quaternion.clone()]));
}
