import type { TypedArray } from '@gltf-transform/core';
import type { DecoderModule, EncoderModule } from 'draco3dgltf';
import { fromMemory } from '../../asset/byte-source.js';
import { checkRanges } from '../../asset/check-ranges.js';
import { type Decoded, readAccessors } from '../../asset/decode.js';
import { AssetError } from '../../asset/errors.js';
import type { GltfDocument } from '../../asset/gltf-types.js';
import { wantedAccessors } from '../../asset/wanted-accessors.js';

/** All that the Draco-packed primitives of skins contain, by accessor: each is unpacked whole. */
export async function decodeDraco(
  document: GltfDocument,
  buffers: readonly (Buffer | null)[],
): Promise<Decoded> {
  const { primitives: all } = wantedAccessors(document);
  const primitives = all.filter(({ source }) => source.draco !== null);
  if (primitives.length === 0) return new Map();
  const accessors = primitives.flatMap(({ source: { attributes, indices, draco } }) => [
    ...Object.keys(draco?.attributes ?? {}).flatMap((name) => attributes[name] ?? []),
    ...(indices === null ? [] : [indices]),
  ]);
  const wanted = { accessors: [...new Set(accessors)].sort((a, b) => a - b), primitives };
  checkRanges(document, wanted);
  return readAccessors(document, wanted, (index) => {
    const bytes = buffers[index];
    if (bytes == null) throw new AssetError('the buffer holds no bytes', `/buffers/${index}`);
    return { source: fromMemory(bytes), offset: 0 };
  });
}

/** One attribute of a primitive as it is stored; `size` is the components of one element. */
export interface PlainAttribute {
  readonly name: string;
  readonly array: TypedArray;
  readonly size: number;
  readonly normalized: boolean;
}

/** A packed primitive, with the id of each attribute there by name. */
interface DracoPacked {
  readonly bytes: Uint8Array;
  readonly ids: ReadonlyMap<string, number>;
}

/** For each kind of array the method that adds one, and the type by which it is read again. */
const ARRAYS = [
  [Float32Array, 'AddFloatAttribute', 'DT_FLOAT32'],
  [Uint32Array, 'AddUInt32Attribute', 'DT_UINT32'],
  [Uint16Array, 'AddUInt16Attribute', 'DT_UINT16'],
  [Int16Array, 'AddInt16Attribute', 'DT_INT16'],
  [Int8Array, 'AddInt8Attribute', 'DT_INT8'],
  [Uint8Array, 'AddUInt8Attribute', 'DT_UINT8'],
] as const;

/** Packs primitives so that every number and the order of all vertices and triangles stay. */
export class DracoPacker {
  private constructor(
    private readonly encoder: EncoderModule,
    private readonly decoder: DecoderModule,
  ) {}

  static async load(): Promise<DracoPacker> {
    const { default: draco } = await import('draco3dgltf');
    return new DracoPacker(await draco.createEncoderModule(), await draco.createDecoderModule());
  }

  /**
   * In order and without rounding: the sequential method, floats not quantised, no vertex folded into
   * another. Null where what comes out again is not what went in, bit for bit.
   */
  pack(attributes: readonly PlainAttribute[], triangles: TypedArray): DracoPacked | null {
    const packed = this.encode(attributes, triangles);
    return packed !== null && this.isExact(packed, attributes, triangles) ? packed : null;
  }

  private encode(attributes: readonly PlainAttribute[], triangles: TypedArray): DracoPacked | null {
    const { encoder } = this;
    const builder = new encoder.MeshBuilder();
    const mesh = new encoder.Mesh();
    const out = new encoder.DracoInt8Array();
    try {
      builder.AddFacesToMesh(mesh, triangles.length / 3, Uint32Array.from(triangles));
      const ids = new Map<string, number>();
      for (const { name, array, size, normalized } of attributes) {
        const [, add] = kindOf(array);
        const id = builder[add](mesh, encoder[meaningOf(name)], array.length / size, size, array);
        if (id === -1) return null;
        if (normalized) builder.SetNormalizedFlagForAttribute(mesh, id, true);
        ids.set(name, id);
      }
      const expert = new encoder.ExpertEncoder(mesh);
      try {
        expert.SetEncodingMethod(encoder.MESH_SEQUENTIAL_ENCODING);
        // The slowest and smallest; speeds go from 0 to 10.
        expert.SetSpeedOptions(0, 0);
        const length = expert.EncodeToDracoBuffer(false, out);
        if (length <= 0) return null;
        const bytes = Uint8Array.from({ length }, (_, at) => out.GetValue(at));
        return { bytes, ids };
      } finally {
        encoder.destroy(expert);
      }
    } finally {
      for (const used of [out, mesh, builder]) encoder.destroy(used);
    }
  }

  private isExact(
    { bytes, ids }: DracoPacked,
    attributes: readonly PlainAttribute[],
    triangles: TypedArray,
  ): boolean {
    const { decoder } = this;
    const reader = new decoder.Decoder();
    const buffer = new decoder.DecoderBuffer();
    const mesh = new decoder.Mesh();
    try {
      buffer.Init(new Int8Array(bytes.buffer, bytes.byteOffset, bytes.length), bytes.length);
      if (!reader.DecodeBufferToMesh(buffer, mesh).ok()) return false;
      const length = triangles.length * Uint32Array.BYTES_PER_ELEMENT;
      const faces = this.copied(length, (at) => reader.GetTrianglesUInt32Array(mesh, length, at));
      if (!bytesOf(Uint32Array.from(triangles)).equals(faces)) return false;
      return attributes.every(({ name, array, size }) => {
        const attribute = reader.GetAttributeByUniqueId(mesh, ids.get(name) ?? -1);
        if (mesh.num_points() * size !== array.length) return false;
        const { byteLength } = array;
        const type = decoder[kindOf(array)[2]];
        const found = this.copied(byteLength, (at) =>
          reader.GetAttributeDataArrayForAllPoints(mesh, attribute, type, byteLength, at),
        );
        return bytesOf(array).equals(found);
      });
    } finally {
      for (const used of [mesh, buffer, reader]) decoder.destroy(used);
    }
  }

  /** Bytes that the decoder fills in its own memory. */
  private copied(length: number, fill: (at: number) => void): Uint8Array {
    const at = this.decoder._malloc(length);
    try {
      fill(at);
      return this.decoder.HEAPU8.slice(at, at + length);
    } finally {
      this.decoder._free(at);
    }
  }
}

function kindOf(array: TypedArray): (typeof ARRAYS)[number] {
  return ARRAYS.find(([Values]) => array instanceof Values) ?? ARRAYS[5];
}

function meaningOf(name: string): 'POSITION' | 'NORMAL' | 'COLOR' | 'TEX_COORD' | 'GENERIC' {
  if (name === 'POSITION' || name === 'NORMAL') return name;
  if (/^COLOR_\d+$/.test(name)) return 'COLOR';
  return /^TEXCOORD_\d+$/.test(name) ? 'TEX_COORD' : 'GENERIC';
}

function bytesOf(array: TypedArray): Buffer {
  return Buffer.from(array.buffer, array.byteOffset, array.byteLength);
}
