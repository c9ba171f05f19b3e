import type { TypedArray } from '@gltf-transform/core';
import type { DecoderModule, EncoderModule } from 'draco3dgltf';
import { fromMemory } from '../../asset/byte-source.js';
import { checkRanges } from '../../asset/check-ranges.js';
import { type Decoded, readAccessors } from '../../asset/decode.js';
import { AssetError } from '../../asset/errors.js';
import type { GltfDocument } from '../../asset/gltf-types.js';
import { wantedAccessors } from '../../asset/wanted-accessors.js';

/**
 * All that the Draco-packed primitives of skins hold, by accessor: also what no check reads, since a
 * primitive is unpacked as a whole or not at all.
 */
export async function decodeDraco(
  document: GltfDocument,
  buffers: readonly (Buffer | null)[],
): Promise<Decoded> {
  const primitives = wantedAccessors(document).primitives.filter(
    ({ source }) => source.draco !== null,
  );
  if (primitives.length === 0) return new Map();
  const accessors = new Set<number>();
  for (const { source } of primitives) {
    for (const [name, accessor] of Object.entries(source.attributes))
      if (source.draco?.attributes[name] !== undefined) accessors.add(accessor);
    if (source.indices !== null) accessors.add(source.indices);
  }
  const wanted = { accessors: [...accessors].sort((a, b) => a - b), primitives };
  checkRanges(document, wanted);
  return readAccessors(document, wanted, (index) => {
    const bytes = buffers[index];
    if (bytes == null) throw new AssetError('the buffer holds no bytes', `/buffers/${index}`);
    return { source: fromMemory(bytes), offset: 0 };
  });
}

/** One attribute of a primitive as it is stored. */
export interface PlainAttribute {
  readonly name: string;
  readonly array: TypedArray;
  /** Components of one element. */
  readonly size: number;
  readonly normalized: boolean;
}

/** What `DracoPacker` makes of a primitive. */
export interface DracoPacked {
  readonly bytes: Uint8Array;
  /** Id of each attribute there, by name. */
  readonly ids: ReadonlyMap<string, number>;
}

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
        const kind = encoder[kindOf(name)];
        const count = array.length / size;
        const id =
          array instanceof Float32Array
            ? builder.AddFloatAttribute(mesh, kind, count, size, array)
            : array instanceof Uint32Array
              ? builder.AddUInt32Attribute(mesh, kind, count, size, array)
              : array instanceof Uint16Array
                ? builder.AddUInt16Attribute(mesh, kind, count, size, array)
                : array instanceof Int16Array
                  ? builder.AddInt16Attribute(mesh, kind, count, size, array)
                  : array instanceof Int8Array
                    ? builder.AddInt8Attribute(mesh, kind, count, size, array)
                    : builder.AddUInt8Attribute(mesh, kind, count, size, Uint8Array.from(array));
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
      for (const item of [out, mesh, builder]) encoder.destroy(item);
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
      if (!sameBytes(faces, Uint32Array.from(triangles))) return false;
      return attributes.every(({ name, array, size }) => {
        const attribute = reader.GetAttributeByUniqueId(mesh, ids.get(name) ?? -1);
        if (mesh.num_points() * size !== array.length) return false;
        const type = decoder[typeOf(array)];
        const found = this.copied(array.byteLength, (at) =>
          reader.GetAttributeDataArrayForAllPoints(mesh, attribute, type, array.byteLength, at),
        );
        return sameBytes(found, array);
      });
    } finally {
      for (const item of [mesh, buffer, reader]) decoder.destroy(item);
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

function kindOf(name: string): 'POSITION' | 'NORMAL' | 'COLOR' | 'TEX_COORD' | 'GENERIC' {
  if (name === 'POSITION' || name === 'NORMAL') return name;
  if (/^COLOR_\d+$/.test(name)) return 'COLOR';
  return /^TEXCOORD_\d+$/.test(name) ? 'TEX_COORD' : 'GENERIC';
}

function typeOf(
  array: TypedArray,
): 'DT_FLOAT32' | 'DT_UINT32' | 'DT_UINT16' | 'DT_INT16' | 'DT_INT8' | 'DT_UINT8' {
  if (array instanceof Float32Array) return 'DT_FLOAT32';
  if (array instanceof Uint32Array) return 'DT_UINT32';
  if (array instanceof Uint16Array) return 'DT_UINT16';
  if (array instanceof Int16Array) return 'DT_INT16';
  return array instanceof Int8Array ? 'DT_INT8' : 'DT_UINT8';
}

function sameBytes(a: TypedArray, b: TypedArray): boolean {
  return (
    Buffer.compare(
      Buffer.from(a.buffer, a.byteOffset, a.byteLength),
      Buffer.from(b.buffer, b.byteOffset, b.byteLength),
    ) === 0
  );
}
