// Source: three.js (npm `three`) for where nodes stand; what is given in their frames is placed by it.
import { Matrix4, type Object3D, Quaternion, Vector3 } from 'three';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import { memberOf } from '../../src/asset/narrow.js';
import type { GltfJson } from '../../src/mend/json/gltf-json.js';
import { splitGlb } from '../fixtures/read-back.js';
import { loadInThree } from '../support/three-scene.js';
import { type Dresser, dressed } from './dressed.js';

/** Of a figure of some metres: float32 storage of places, in two programs. Metres, radians. */
export const SAME = 1e-5;

export interface Stood {
  readonly json: GltfJson;
  readonly nodes: ReadonlyMap<number, Object3D>;
  object(node: number): Object3D;
  /** Rotation of each node in the world as loaded. */
  readonly rest: ReadonlyMap<number, Quaternion>;
}

/** A file as three.js stands it. */
export async function stand(bytes: Uint8Array): Promise<Stood> {
  const { nodes } = await loadInThree(bytes);
  // What was stored reads as both of the two types of JSON.
  const json = splitGlb(bytes).json as unknown as GltfJson;
  const object = (node: number): Object3D => {
    const found = nodes.get(node);
    if (found === undefined) throw new Error(`no node ${node}`);
    return found;
  };
  const rest = new Map(
    [...nodes].map(([node, it]) => [node, it.getWorldQuaternion(new Quaternion())]),
  );
  return { json, nodes, object, rest };
}

/** A member of a member of a file. Throws where there is none. */
export function at(json: unknown, ...keys: (string | number)[]): unknown {
  let value = json;
  for (const key of keys) {
    value = Array.isArray(value) ? (value as unknown[])[Number(key)] : memberOf(value, String(key));
    if (value === undefined) throw new Error(`nothing at ${keys.join('/')}`);
  }
  return value;
}

/** Three numbers at a place in a file. */
export function vectorAt(json: unknown, ...keys: (string | number)[]): Vector3 {
  const value = at(json, ...keys);
  if (!Array.isArray(value) || value.length !== 3)
    throw new Error(`no vector at ${keys.join('/')}`);
  const [x, y, z] = value as number[];
  return new Vector3(x, y, z);
}

export function numberAt(json: unknown, ...keys: (string | number)[]): number {
  const value = at(json, ...keys);
  if (typeof value !== 'number') throw new Error(`no number at ${keys.join('/')}`);
  return value;
}

/** The largest of a node's scales in the world. */
export function worldScale({ object }: Stood, node: number): number {
  const { x, y, z } = object(node).getWorldScale(new Vector3());
  return Math.max(Math.abs(x), Math.abs(y), Math.abs(z));
}

/** Where a place in a node's frame is in the world. */
export function placed({ object }: Stood, node: number, place: Vector3): Vector3 {
  return place.clone().applyMatrix4(new Matrix4().copy(object(node).matrixWorld));
}

/** Radians between two rotations. */
export function apart(a: Quaternion, b: Quaternion): number {
  return a.clone().normalize().angleTo(b.clone().normalize());
}

/** A character with extensions on it. */
export function extended(
  name: CastName,
  dress: (dresser: Dresser) => void,
  options: BuildOptions = {},
): Uint8Array {
  return dressed(name, () => undefined, dress, options);
}

/** Adds extensions at the top of a file. */
export function extend(dresser: Dresser, extensions: Readonly<Record<string, unknown>>): void {
  const { json } = dresser;
  json.extensions = { ...(json.extensions ?? {}), ...extensions };
  json.extensionsUsed = [
    ...new Set([
      ...((json.extensionsUsed as string[] | undefined) ?? []),
      ...Object.keys(extensions),
    ]),
  ];
}
