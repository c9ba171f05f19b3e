// Source of the ways: npm `@gltf-transform/functions`, with the encoders of npm `meshoptimizer` and
// npm `draco3dgltf`. What they make is another file of the same rig.
import { type Document, Logger, NodeIO, type Transform, VertexLayout } from '@gltf-transform/core';
import { ALL_EXTENSIONS } from '@gltf-transform/extensions';
import {
  dedup,
  draco,
  meshopt,
  partition,
  prune,
  quantize,
  reorder,
  sparse,
  unweld,
  weld,
} from '@gltf-transform/functions';
import draco3d from 'draco3dgltf';
import { MeshoptDecoder, MeshoptEncoder } from 'meshoptimizer';

interface Way {
  readonly steps: readonly Transform[];
  /** Vertex buffers as they are laid out; interleaved by default. */
  readonly layout?: VertexLayout;
  /** Whether numbers are stored more coarsely. */
  readonly coarse?: true;
  readonly container?: 'gltf';
}

/** Every way of storing an asset that must not matter to a rig. */
export const WAYS: Readonly<Record<string, Way>> = {
  'interleaved vertex buffers': { steps: [] },
  'separate vertex buffers': { steps: [], layout: VertexLayout.SEPARATE },
  'as .gltf': { steps: [], container: 'gltf' },
  dedup: { steps: [dedup()] },
  'prune of unused': { steps: [prune({ keepAttributes: true })] },
  weld: { steps: [weld()] },
  unweld: { steps: [unweld()] },
  reorder: { steps: [reorder({ encoder: MeshoptEncoder })] },
  partition: { steps: [partition()], container: 'gltf' },
  sparse: { steps: [sparse({ ratio: 1 })] },
  quantize: { steps: [quantize()], coarse: true },
  meshopt: { steps: [meshopt({ encoder: MeshoptEncoder })], coarse: true },
  draco: { steps: [draco()], coarse: true },
};

const [decoder, encoder] = await Promise.all([
  draco3d.createDecoderModule(),
  draco3d.createEncoderModule(),
  MeshoptEncoder.ready,
  MeshoptDecoder.ready,
]);

function io(layout: VertexLayout): NodeIO {
  return new NodeIO()
    .setLogger(new Logger(Logger.Verbosity.SILENT))
    .registerExtensions(ALL_EXTENSIONS)
    .registerDependencies({
      'draco3d.decoder': decoder,
      'draco3d.encoder': encoder,
      'meshopt.decoder': MeshoptDecoder,
      'meshopt.encoder': MeshoptEncoder,
    })
    .setVertexLayout(layout);
}

/** A GLB read and written another way, in one file. */
export async function storedAnew(glb: Uint8Array, way: Way): Promise<Uint8Array> {
  const files = io(way.layout ?? VertexLayout.INTERLEAVED);
  const document = await files.readBinary(glb);
  document.setLogger(new Logger(Logger.Verbosity.SILENT));
  await document.transform(...way.steps);
  if (way.container === 'gltf') return embedded(files, document);
  return files.writeBinary(document);
}

async function embedded(files: NodeIO, document: Document): Promise<Uint8Array> {
  const { json, resources } = await files.writeJSON(document);
  for (const buffer of json.buffers ?? []) {
    const bytes = resources[buffer.uri ?? ''];
    if (bytes !== undefined)
      buffer.uri = `data:application/octet-stream;base64,${Buffer.from(bytes).toString('base64')}`;
  }
  return Buffer.from(JSON.stringify(json));
}
