import { buildGlb } from '../../../fixtures/build.js';
import { glb } from '../../../fixtures/kit/containers.js';
import type { BuildOptions } from '../../../fixtures/kit/options.js';
import { elements } from './values.js';
import { type FileAccessor, type FileJson, readWhole } from './whole-file.js';

/** Names of the accessors and nodes that `everything` adds, by index. */
export interface Added {
  /** Vertex attributes of zeros, two of one view; the second is not normalised. */
  readonly glow: number;
  readonly dim: number;
  /** Four bytes of zeros as a float, which a view with room has. */
  readonly spare: number;
  /** One key at the start. */
  readonly start: number;
  /** Zeros with two of them told as sparse; the bytes of those indices. */
  readonly sparseIndices: number;
  /** Nodes: one with a matrix, one alone in the scene, and one below another in no scene. */
  readonly boxed: number;
  readonly lamp: number;
  readonly below: number;
  readonly upper: number;
}

/** A file with everything in it that a must could be broken in, and the means to store it. */
export interface Everything extends Added {
  readonly json: FileJson;
  binary: Buffer;
  pack(): Buffer;
  /** Tells least and largest of all accessors, as files may (glTF 2.0, 3.6.2.5). */
  giveBounds(): void;
}

/** A heron with morph targets, sparse and interleaved numbers, all kinds of keys, and nodes to spare. */
export function everything(options: BuildOptions = {}): Everything {
  const { json, buffers } = readWhole(buildGlb('heron', options));
  let binary = Buffer.from(buffers[0] ?? []);
  const append = (values: Uint8Array, room = 0, stride?: number): number => {
    const start = Math.ceil(binary.length / 4) * 4;
    binary = Buffer.concat([
      binary,
      Buffer.alloc(start - binary.length),
      values,
      Buffer.alloc(room),
    ]);
    const view = { buffer: 0, byteOffset: start, byteLength: values.length + room };
    const made = stride === undefined ? view : { ...view, byteStride: stride };
    return (json.bufferViews?.push(made) ?? 0) - 1;
  };
  const accessor = (own: FileAccessor): number => (json.accessors?.push(own) ?? 0) - 1;
  const floats = (...values: number[]): Uint8Array =>
    new Uint8Array(Float32Array.from(values).buffer);
  const primitive = json.meshes?.[0]?.primitives[0];
  const animation = json.animations?.[0];
  if (primitive === undefined || animation === undefined) throw new Error('a heron has both');
  const count = json.accessors?.[primitive.attributes.POSITION ?? -1]?.count ?? 0;

  const lights = append(new Uint8Array(8 * count), 4, 4);
  const light = { bufferView: lights, componentType: 5121, count, type: 'VEC4' };
  const glow = accessor({ ...light, byteOffset: 0, normalized: true });
  const dim = accessor({ ...light, byteOffset: 4 * count });
  Object.assign(primitive.attributes, { _GLOW: glow, _DIM: dim });

  const zero = { min: [0, 0, 0], max: [0, 0, 0] };
  const dense = accessor({
    bufferView: append(new Uint8Array(12 * count), 0, 12),
    componentType: 5126,
    count,
    type: 'VEC3',
    ...zero,
  });
  const indices = append(Uint8Array.of(1, 2));
  const sparse = accessor({
    componentType: 5126,
    count,
    type: 'VEC3',
    ...zero,
    sparse: {
      count: 2,
      indices: { bufferView: indices, componentType: 5121 },
      values: { bufferView: append(new Uint8Array(24)) },
    },
  });
  primitive.targets = [{ POSITION: dense }, { POSITION: sparse }];

  const key = (values: number[], type: string, more = {}): number =>
    accessor({
      bufferView: append(floats(...values)),
      componentType: 5126,
      count: values.length / (type === 'VEC3' ? 3 : 1),
      type,
      ...more,
    });
  const times = key([0, 1, 2], 'SCALAR', { min: [0], max: [2] });
  const start = key([0], 'SCALAR', { min: [0], max: [0] });
  const shown = json.nodes?.findIndex(({ mesh }) => mesh !== undefined) ?? -1;
  animation.samplers.push(
    { input: times, output: key(new Array<number>(6).fill(0), 'SCALAR'), interpolation: 'STEP' },
    {
      input: times,
      output: key(new Array<number>(27).fill(1), 'VEC3'),
      interpolation: 'CUBICSPLINE',
    },
    { input: start, output: key([1, 1, 1], 'VEC3') },
  );
  const last = animation.samplers.length;
  animation.channels.push(
    { sampler: last - 3, target: { node: shown, path: 'weights' } },
    { sampler: last - 2, target: { node: 2, path: 'scale' } },
  );

  const node = (own: object): number => (json.nodes?.push(own) ?? 0) - 1;
  const below = node({ name: 'below' });
  const upper = node({ name: 'upper', children: [below] });
  const lamp = node({ name: 'lamp' });
  const boxed = node({ name: 'boxed', matrix: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1] });
  json.scenes?.[0]?.nodes?.push(lamp, boxed);

  const view = append(new Uint8Array(4), 4);
  const spare = accessor({
    bufferView: view,
    byteOffset: 0,
    componentType: 5126,
    count: 1,
    type: 'SCALAR',
  });
  // An odd length, so that the chunk is padded.
  binary = Buffer.concat([binary, Buffer.alloc(1)]);
  json.buffers = [
    { byteLength: binary.length },
    { byteLength: 3, uri: 'data:application/octet-stream;base64,AAAA' },
  ];
  json.bufferViews?.push({ buffer: 1, byteLength: 3 });
  const sparseIndices = json.bufferViews?.[indices]?.byteOffset ?? 0;
  return {
    json,
    binary,
    glow,
    dim,
    spare,
    start,
    sparseIndices,
    boxed,
    lamp,
    below,
    upper,
    pack() {
      // One byte of padding at least.
      const text = JSON.stringify(this.json);
      return Buffer.from(glb(text.length % 4 === 0 ? `${text} ` : text, this.binary));
    },
    giveBounds() {
      const whole = readWhole(this.pack());
      this.json.accessors?.forEach((own, index) => {
        const rows = (elements(whole, index) ?? []).filter((row) => row.every(Number.isFinite));
        const of = (best: (...values: number[]) => number): number[] =>
          (rows[0] ?? []).map((_, at) => best(...rows.map((row) => row[at] ?? 0)));
        Object.assign(own, { min: of(Math.min), max: of(Math.max) });
      });
    },
  };
}
