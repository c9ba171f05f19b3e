import { NodeIO } from '@gltf-transform/core';
import {
  EXTMeshoptCompression,
  KHRDracoMeshCompression,
  KHRMeshQuantization,
} from '@gltf-transform/extensions';
import draco from 'draco3dgltf';
import { MeshoptDecoder, MeshoptEncoder } from 'meshoptimizer';

/** The ways in which fixtures are packed, all by encoders that are not ours. */
export const PACKINGS = [
  'meshopt',
  'meshopt, filtered',
  'draco, in order',
  'draco, reordered',
] as const;

export type Packing = (typeof PACKINGS)[number];

/** Made once: the encoders take long to load. */
let made: Promise<NodeIO> | undefined;

function packingIo(): Promise<NodeIO> {
  made ??= makeIo();
  return made;
}

async function makeIo(): Promise<NodeIO> {
  await Promise.all([MeshoptEncoder.ready, MeshoptDecoder.ready]);
  return new NodeIO()
    .registerExtensions([EXTMeshoptCompression, KHRDracoMeshCompression, KHRMeshQuantization])
    .registerDependencies({
      'meshopt.encoder': MeshoptEncoder,
      'meshopt.decoder': MeshoptDecoder,
      'draco3d.encoder': await draco.createEncoderModule(),
      'draco3d.decoder': await draco.createDecoderModule(),
    });
}

/** A GLB with its geometry packed, by @gltf-transform with npm `meshoptimizer` and `draco3dgltf`. */
export async function packed(bytes: Uint8Array, packing: Packing): Promise<Uint8Array> {
  const io = await packingIo();
  // `readBinary` wants bytes with an ArrayBuffer of their own.
  const document = await io.readBinary(Uint8Array.from(bytes));
  if (packing.startsWith('meshopt')) {
    const { QUANTIZE, FILTER } = EXTMeshoptCompression.EncoderMethod;
    document
      .createExtension(EXTMeshoptCompression)
      .setRequired(true)
      .setEncoderOptions({ method: packing === 'meshopt' ? QUANTIZE : FILTER });
  } else {
    const { SEQUENTIAL, EDGEBREAKER } = KHRDracoMeshCompression.EncoderMethod;
    document
      .createExtension(KHRDracoMeshCompression)
      .setRequired(true)
      .setEncoderOptions({
        method: packing === 'draco, in order' ? SEQUENTIAL : EDGEBREAKER,
        quantizationBits: { POSITION: 16, GENERIC: 16 },
      });
  }
  return io.writeBinary(document);
}

/** The same asset with nothing packed, as @gltf-transform reads it: a reader that is not ours. */
export async function unpacked(bytes: Uint8Array): Promise<Uint8Array> {
  const io = await packingIo();
  const document = await io.readBinary(Uint8Array.from(bytes));
  for (const extension of document.getRoot().listExtensionsUsed())
    if (/compression$/.test(extension.extensionName)) extension.dispose();
  return io.writeBinary(document);
}

/** A view of a packed GLB as its JSON has it. */
interface PackedView {
  readonly buffer: number;
  readonly byteOffset?: number;
  readonly byteLength: number;
  readonly extensions?: Readonly<
    Record<
      string,
      { readonly buffer: number; readonly byteOffset?: number; readonly byteLength: number }
    >
  >;
}

export interface PackedJson {
  readonly extensionsUsed?: readonly string[];
  readonly extensionsRequired?: readonly string[];
  readonly meshes: readonly {
    readonly primitives: readonly {
      readonly attributes: Readonly<Record<string, number>>;
      readonly indices?: number;
      readonly extensions?: Readonly<Record<string, { readonly bufferView: number }>>;
    }[];
  }[];
  readonly accessors: readonly { readonly bufferView?: number }[];
  readonly bufferViews: readonly PackedView[];
  readonly buffers: readonly { readonly byteLength: number; readonly extensions?: unknown }[];
}

export function jsonOf(bytes: Uint8Array): PackedJson {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const text = new TextDecoder().decode(bytes.subarray(20, 20 + view.getUint32(12, true)));
  // Written a moment ago from an asset of ours; the fields used are asserted by use.
  return JSON.parse(text) as PackedJson;
}

/** The meshopt streams of a GLB, by view. */
export function streamsOf(bytes: Uint8Array): Map<number, Buffer> {
  const chunk = 28 + new DataView(bytes.buffer, bytes.byteOffset).getUint32(12, true);
  const found = new Map<number, Buffer>();
  jsonOf(bytes).bufferViews.forEach(({ extensions }, view) => {
    const form = extensions?.EXT_meshopt_compression;
    if (form === undefined) return;
    const start = chunk + (form.byteOffset ?? 0);
    found.set(view, Buffer.from(bytes.subarray(start, start + form.byteLength)));
  });
  return found;
}
