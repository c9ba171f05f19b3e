import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { glb } from '../../fixtures/kit/containers.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { GltfNode } from '../../fixtures/kit/gltf-json.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { splitGlb } from '../fixtures/read-back.js';

type Json = ReturnType<typeof splitGlb>['json'];
type Mutable<T> = { -readonly [K in keyof T]: T[K] };

/** A node as tests hang it somewhere, with what the fixtures never write. */
export interface AnyNode extends GltfNode {
  camera?: number;
  extensions?: Readonly<Record<string, unknown>>;
}

/** The JSON of a stored puppet and the means to change it. */
export class Dresser {
  readonly nodes: AnyNode[];

  constructor(
    readonly json: Mutable<Json> & Record<string, unknown>,
    private binary: Buffer,
  ) {
    // The stored nodes are objects of their own, free to be given any property.
    this.nodes = json.nodes as AnyNode[];
  }

  /** Index of the node of this name. Throws when there is none. */
  named(name: string): number {
    const at = this.nodes.findIndex((node) => node.name === name);
    if (at === -1) throw new Error(`no node ${name}`);
    return at;
  }

  node(name: string): AnyNode {
    return this.nodes[this.named(name)] ?? {};
  }

  /** Hangs a new node below another, and gives its index. */
  hang(below: string, node: AnyNode): number {
    const index = this.nodes.push(node) - 1;
    const parent = this.node(below);
    parent.children = [...(parent.children ?? []), index];
    return index;
  }

  /** A mesh like the puppet's own, without a skin. */
  plainMesh(): number {
    const { POSITION = 0 } = this.json.meshes?.[0]?.primitives[0]?.attributes ?? {};
    const indices = this.json.meshes?.[0]?.primitives[0]?.indices ?? 0;
    const mesh = { primitives: [{ attributes: { POSITION }, indices }] };
    return (this.json.meshes?.push(mesh) ?? 0) - 1;
  }

  /** The bytes of an accessor that has a view of its own. They can be changed, up to the next list. */
  bytesOf(accessor: number): Buffer {
    const { bufferView = -1 } = this.json.accessors[accessor] ?? {};
    const { byteOffset = 0, byteLength = 0 } = this.json.bufferViews[bufferView] ?? {};
    return this.binary.subarray(byteOffset, byteOffset + byteLength);
  }

  /** The same as floats. */
  floatsOf(accessor: number): Float32Array {
    const { buffer, byteOffset, byteLength } = this.bytesOf(accessor);
    return new Float32Array(buffer, byteOffset, byteLength / 4);
  }

  accessor(values: ArrayLike<number> & ArrayBufferView, type: string, more: object = {}): number {
    const size = { SCALAR: 1, VEC3: 3, VEC4: 4 }[type] ?? 1;
    const bufferView = this.view(values);
    const componentType = values instanceof Int16Array ? 5122 : 5126;
    const accessor = { bufferView, componentType, count: values.length / size, type, ...more };
    return this.json.accessors.push(accessor) - 1;
  }

  /** Adds a view with these values. */
  view(values: ArrayBufferView): number {
    const start = Math.ceil(this.binary.length / 4) * 4;
    const bytes = Buffer.from(values.buffer, values.byteOffset, values.byteLength);
    this.binary = Buffer.concat([this.binary, Buffer.alloc(start - this.binary.length), bytes]);
    const place = { byteOffset: start, byteLength: bytes.length, ...{ buffer: 0 } };
    return this.json.bufferViews.push(place) - 1;
  }

  /** Adds a channel to the first clip. */
  key(node: number, path: string, times: number[], output: number, interpolation: string): void {
    this.json.animations ??= [{ name: 'play', samplers: [], channels: [] }];
    const [clip] = this.json.animations;
    if (clip === undefined) throw new Error('a clip was there');
    const [first = 0, last = 0] = [times[0], times.at(-1)];
    const bounds = { min: [first], max: [last] };
    const input = this.accessor(Float32Array.from(times), 'SCALAR', bounds);
    const sampler = clip.samplers.push({ input, output, interpolation }) - 1;
    clip.channels.push({ sampler, target: { node, path } });
  }

  bytes(): Uint8Array {
    const [buffer] = this.json.buffers;
    if (buffer !== undefined)
      this.json.buffers.splice(0, 1, { ...buffer, byteLength: this.binary.length });
    return glb(JSON.stringify(this.json), this.binary);
  }
}

/** Stores a puppet, lets `dress` change what was stored, and packs it again. */
export function dressed(
  name: CastName,
  change: (puppet: Puppet) => void,
  dress: (dresser: Dresser) => void = () => undefined,
  options: BuildOptions = {},
): Uint8Array {
  const puppet = raisePuppet(name, options);
  change(puppet);
  const { json, binary } = splitGlb(
    mainFile(buildPuppet(puppet, { ...options, container: 'glb' })),
  );
  const dresser = new Dresser({ ...json }, Buffer.from(binary));
  dress(dresser);
  return dresser.bytes();
}

/**
 * Hangs a lantern with all that a stage can hold below a node, all of it moved, turned and scaled, and
 * keyed by cubic splines: a plain mesh, a camera, a light, a node with a matrix. Names begin with `prop`.
 */
export function hangProps(dresser: Dresser, below: string): void {
  const { json } = dresser;
  json.cameras = [{ type: 'perspective', perspective: { yfov: 1, znear: 0.1 } }];
  json.extensionsUsed = ['KHR_lights_punctual'];
  json.extensions = { KHR_lights_punctual: { lights: [{ type: 'point' }] } };
  const turned = { translation: [0.1, 0.2, -0.3], rotation: [0.6, 0, 0, 0.8] };
  const mesh = dresser.plainMesh();
  const lantern = dresser.hang(below, { name: 'prop', ...turned, scale: [1, 2, 1], mesh });
  dresser.hang('prop', { name: 'prop_wick', translation: [0, 0.1, 0], mesh });
  dresser.hang(below, { name: 'prop_camera', ...turned, camera: 0 });
  const light = { KHR_lights_punctual: { light: 0 } };
  dresser.hang(below, { name: 'prop_light', translation: [0, 1, 0], extensions: light });
  // A quarter turn about X, scaled by 2, 1 and 3: not skewed, which no conforming file may be.
  const matrix = [2, 0, 0, 0, 0, 0, 1, 0, 0, -3, 0, 0, 0.5, 0.6, 0.7, 1];
  dresser.hang(below, { name: 'prop_crate', matrix, mesh });
  const times = [0, 1, 2];
  const moves = [0, 0, 0, 0.1, 0.2, -0.3, 0.5, 0, 0, 0, 0.4, 0, 0.3, 0.2, 0, 0, 0, 0.6];
  const back = [0.2, 0, 0.1, 0.1, 0.2, -0.3, 0, 0, 0];
  const translation = dresser.accessor(Float32Array.from([...moves, ...back]), 'VEC3');
  dresser.key(lantern, 'translation', times, translation, 'CUBICSPLINE');
  const flat = [0, 0, 0, 0];
  const turns = [flat, [0.6, 0, 0, 0.8], [0, 0.3, 0, 0], [0.1, 0, 0, 0], [0, 0.6, 0, 0.8]];
  const rest = [[0, 0, 0.2, 0], [0, 0, 0.3, 0.1], [0, 0, 1, 0], flat];
  const rotation = dresser.accessor(Float32Array.from([...turns, ...rest].flat()), 'VEC4');
  dresser.key(lantern, 'rotation', times, rotation, 'CUBICSPLINE');
  const scale = dresser.accessor(Float32Array.of(1, 2, 1, 2, 2, 2, 1, 1, 3), 'VEC3');
  dresser.key(lantern, 'scale', times, scale, 'LINEAR');
}
