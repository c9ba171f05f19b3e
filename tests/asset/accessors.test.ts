// Sources: glTF 2.0, 3.6.2 Accessors (interleaving, sparse accessors) and 3.7.2.1 (strips and fans);
// KHR_mesh_quantization and glTF 2.0, 3.11 for normalised integers: f = c / most, at least -1.
import { describe, expect, test } from 'vitest';
import { glb } from '../../fixtures/kit/containers.js';
import type { GltfJson } from '../../fixtures/kit/gltf-json.js';
import { AssetError } from '../../src/asset/errors.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import type { SkinnedPart } from '../../src/rig/types.js';
import { rigOf } from '../support/facts-of.js';
import { chainJoints, type TinySkin, tinyGlb, tinyJson } from '../support/tiny-rig.js';

const joints = chainJoints([
  [0, 0, 0],
  [0.25, 0, 0],
]);
/** Places on a grid of eighths, so that float32 holds them exactly. */
const skin: TinySkin = {
  positions: [
    [0, 0, 0],
    [0.5, 0, 0],
    [0, 0.75, 0],
    [0.5, 0.75, -0.125],
    [-1, 0.25, 1],
  ],
  triangles: [
    [0, 1, 2],
    [2, 1, 3],
    [2, 3, 4],
  ],
  influences: [
    [[0, 1]],
    [[1, 1]],
    [[0, 1]],
    [
      [1, 0.75],
      [0, 0.25],
    ],
    [[1, 1]],
  ],
};
const POSITION = 1;
const COUNT = skin.positions.length;

/** The part of the rig as stored plainly but for what `store` changes; it may add to the buffer. */
async function partOf(store: (json: GltfJson, buffer: BufferMaker) => void): Promise<SkinnedPart> {
  const { json, buffer } = tinyJson(joints, skin);
  const maker = new BufferMaker(json, buffer);
  store(json, maker);
  const bytes = maker.bytes;
  json.buffers = [{ byteLength: bytes.length }];
  const [part] = (await rigOf(glb(JSON.stringify(json), bytes))).parts;
  if (part === undefined) throw new Error('the rig has a mesh');
  return part;
}

class BufferMaker {
  constructor(
    private readonly json: GltfJson,
    public bytes: Uint8Array,
  ) {}

  /** Appends a view and gives its index. */
  view(data: ArrayBufferView, stride?: number): number {
    const from = Math.ceil(this.bytes.length / 8) * 8;
    const longer = new Uint8Array(from + data.byteLength);
    longer.set(this.bytes);
    longer.set(new Uint8Array(data.buffer, data.byteOffset, data.byteLength), from);
    this.bytes = longer;
    this.json.bufferViews.push({
      buffer: 0,
      byteOffset: from,
      byteLength: data.byteLength,
      ...(stride === undefined ? {} : { byteStride: stride }),
    });
    return this.json.bufferViews.length - 1;
  }
}

function change(json: GltfJson, accessor: number, fields: object): void {
  const entry = json.accessors[accessor];
  if (entry === undefined) throw new Error(`no accessor ${accessor}`);
  Object.assign(entry, fields);
}

const plain = () => partOf(() => undefined);
const numbers = (part: SkinnedPart): number[] => Array.from(part.positions);

test('plain floats are read as they were written', async () => {
  expect(numbers(await plain())).toEqual(skin.positions.flat());
});

test.each([
  ['on boundaries of their numbers', 36],
  ['off them', 38],
])('interleaved with joints and weights, %s, they are the same', async (_title, stride) => {
  const found = await partOf((json, buffer) => {
    const data = new DataView(new ArrayBuffer(stride * COUNT));
    skin.positions.forEach((place, vertex) => {
      place.forEach((value, axis) => {
        data.setFloat32(stride * vertex + 4 * axis, value, true);
      });
      skin.influences[vertex]?.forEach(([joint, weight], k) => {
        data.setUint16(stride * vertex + 12 + 2 * k, Number(joint), true);
        data.setFloat32(stride * vertex + 20 + 4 * k, weight, true);
      });
    });
    const view = buffer.view(data, stride);
    [0, 12, 20].forEach((byteOffset, at) => {
      change(json, POSITION + at, { bufferView: view, byteOffset });
    });
  });
  const expected = await plain();
  expect(numbers(found)).toEqual(numbers(expected));
  expect(Array.from(found.slots)).toEqual(Array.from(expected.slots));
  expect(Array.from(found.weights)).toEqual(Array.from(expected.weights));
});

test('closer together than they are long, they are refused', async () => {
  const broken = partOf((json, buffer) => {
    const view = buffer.view(Float32Array.from(skin.positions.flat()), 8);
    change(json, POSITION, { bufferView: view });
  });
  await expect(broken).rejects.toThrow('elements of 12 bytes are only 8 bytes apart');
});

describe('sparse positions', () => {
  const replaced = [1, 4];
  const values = Float32Array.from(
    replaced.flatMap((vertex) => [...(skin.positions[vertex] ?? [])]),
  );
  const sparse = (buffer: BufferMaker, indices: Uint8Array | Uint16Array | Uint32Array) => ({
    count: replaced.length,
    indices: {
      bufferView: buffer.view(indices),
      componentType: { 1: 5121, 2: 5123, 4: 5125 }[indices.BYTES_PER_ELEMENT],
    },
    values: { bufferView: buffer.view(values) },
  });

  test.each([
    ['bytes', Uint8Array.from(replaced)],
    ['shorts', Uint16Array.from(replaced)],
    ['ints', Uint32Array.from(replaced)],
  ])('replace what the view holds, their indices as %s', async (_title, indices) => {
    const found = await partOf((json, buffer) => {
      const wrong = Float32Array.from(skin.positions.flat());
      for (const vertex of replaced) wrong.fill(99, 3 * vertex, 3 * vertex + 3);
      change(json, POSITION, { bufferView: buffer.view(wrong), sparse: sparse(buffer, indices) });
    });
    expect(numbers(found)).toEqual(skin.positions.flat());
  });

  test.each([
    ['not in order', [4, 1]],
    ['told twice', [1, 1]],
    ['past the vertices', [1, COUNT]],
  ])('are refused when their indices are %s', async (_title, indices) => {
    const broken = partOf((json, buffer) => {
      change(json, POSITION, { sparse: sparse(buffer, Uint16Array.from(indices)) });
    });
    await expect(broken).rejects.toThrow(AssetError);
  });

  test('stand on zeros where there is no view', async () => {
    const found = await partOf((json, buffer) => {
      change(json, POSITION, { sparse: sparse(buffer, Uint16Array.from(replaced)) });
      delete (json.accessors[POSITION] as { bufferView?: number }).bufferView; // optional in glTF 2.0
    });
    const expected = skin.positions.flatMap((place, vertex) =>
      replaced.includes(vertex) ? [...place] : [0, 0, 0],
    );
    expect(numbers(found)).toEqual(expected);
  });
});

describe('whole numbers (KHR_mesh_quantization)', () => {
  const kinds = [
    { title: 'signed bytes', make: Int8Array, type: 5120, most: 127, least: -128, pad: 4 },
    { title: 'bytes', make: Uint8Array, type: 5121, most: 255, least: 0, pad: 4 },
    { title: 'signed shorts', make: Int16Array, type: 5122, most: 32767, least: -32768, pad: 4 },
    { title: 'shorts', make: Uint16Array, type: 5123, most: 65535, least: 0, pad: 4 },
  ] as const;

  /** The five vertices' numbers, from the least to the most that the kind holds. */
  const stored = ({ most, least }: { most: number; least: number }): number[] =>
    // Adding 0 folds minus zero, which no whole number stores.
    Array.from(
      { length: 3 * COUNT },
      (_, at) => Math.round(least + ((most - least) * at) / (3 * COUNT - 1)) + 0,
    );

  async function decoded(kind: (typeof kinds)[number], normalized: boolean): Promise<number[]> {
    const found = await partOf((json, buffer) => {
      // Vertex attributes stand on 4-byte boundaries, so a vertex is padded by one component.
      const data = new kind.make(kind.pad * COUNT);
      stored(kind).forEach((value, at) => {
        data[kind.pad * Math.floor(at / 3) + (at % 3)] = value;
      });
      const view = buffer.view(data, kind.pad * data.BYTES_PER_ELEMENT);
      change(json, POSITION, { bufferView: view, componentType: kind.type, normalized });
      const used = { extensionsUsed: ['KHR_mesh_quantization'] };
      Object.assign(json, used, { extensionsRequired: used.extensionsUsed });
    });
    return numbers(found);
  }

  test.each(kinds)('$title keep their number when not normalised', async (kind) => {
    expect(await decoded(kind, false)).toEqual(stored(kind));
  });

  test.each(kinds)('$title become fractions of the most when normalised', async (kind) => {
    const fractions = stored(kind).map((value) => Math.fround(Math.max(value / kind.most, -1)));
    expect(await decoded(kind, true)).toEqual(fractions);
  });
});

describe('weights', () => {
  test.each([
    ['bytes', Uint8Array, 5121, 255],
    ['shorts', Uint16Array, 5123, 65535],
  ] as const)(
    'of normalised %s are fractions, and say in what steps',
    async (_title, make, type, steps) => {
      const part = await partOf((json, buffer) => {
        const rows = [steps, 0, steps - 20, 7, 1].flatMap((first) => [first, steps - first, 0, 0]);
        change(json, POSITION + 2, {
          bufferView: buffer.view(make.from(rows)),
          componentType: type,
          normalized: true,
        });
      });
      expect(part.weightSteps).toBe(steps);
      expect(Array.from(part.weights.subarray(8, 10))).toEqual([
        Math.fround((steps - 20) / steps),
        Math.fround(20 / steps),
      ]);
    },
  );
});

describe('triangles', () => {
  const withMode = (mode: number) =>
    partOf((json, buffer) => {
      const view = buffer.view(Uint16Array.of(0, 1, 2, 3, 4));
      change(json, 4, { bufferView: view, componentType: 5123, count: 5 });
      const [primitive] = json.meshes?.[0]?.primitives ?? [];
      if (primitive !== undefined) primitive.mode = mode;
    });

  test('of a strip are wound alike: p_i = v_i, v_(i + 1 + i mod 2), v_(i + 2 - i mod 2)', async () => {
    expect(Array.from((await withMode(5)).triangles ?? [])).toEqual([0, 1, 2, 1, 3, 2, 2, 3, 4]);
  });

  test('of a fan meet in the first vertex: p_i = v_(i + 1), v_(i + 2), v_0', async () => {
    expect(Array.from((await withMode(6)).triangles ?? [])).toEqual([1, 2, 0, 2, 3, 0, 3, 4, 0]);
  });

  test.each([
    ['points', 0],
    ['lines', 1],
    ['a line strip', 3],
  ])('of %s are none', async (_title, mode) => {
    expect((await withMode(mode)).triangles).toBeNull();
  });

  test('without indices run through the vertices', async () => {
    const bytes = tinyGlb(
      joints,
      {
        ...skin,
        positions: [...skin.positions, [1, 1, 1]],
        influences: [...skin.influences, [[0, 1]]],
      },
      (json) => {
        const [primitive] = json.meshes?.[0]?.primitives ?? [];
        delete (primitive as { indices?: number }).indices; // optional in glTF 2.0
      },
    );
    const [part] = (await rigOf(bytes)).parts;
    expect(Array.from(part?.triangles ?? [])).toEqual([0, 1, 2, 3, 4, 5]);
  });
});

test('an extension that changes the geometry and is required but unknown is refused', async () => {
  const bytes = tinyGlb(joints, skin, (json) => {
    json.extensionsRequired = ['LANTERN_folded_paper'];
  });
  const report = await checkAssetBytes(bytes, { settings: defaultSettings([]) });
  expect([report.verdict, report.unreadable?.where]).toEqual([
    'unreadable',
    '/extensionsRequired/0',
  ]);
});
