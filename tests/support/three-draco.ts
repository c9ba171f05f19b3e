import draco from 'draco3dgltf';
import { BufferAttribute, BufferGeometry } from 'three';
import type { DRACOLoader } from 'three/examples/jsm/loaders/DRACOLoader.js';

/**
 * Unpacks Draco for three.js without its workers, which need a browser (KHR_draco_mesh_compression; the decoder
 * is npm `draco3dgltf`). Attributes come out as floats, which three.js does with them what it does with any.
 */
export async function plainDracoLoader(): Promise<DRACOLoader> {
  const module = await draco.createDecoderModule();
  const decode = (bytes: ArrayBuffer, ids: Readonly<Record<string, number>>): BufferGeometry => {
    const decoder = new module.Decoder();
    const buffer = new module.DecoderBuffer();
    buffer.Init(new Int8Array(bytes), bytes.byteLength);
    const mesh = new module.Mesh();
    const status = decoder.DecodeBufferToMesh(buffer, mesh);
    if (!status.ok()) throw new Error(status.error_msg());
    const geometry = new BufferGeometry();
    for (const [name, id] of Object.entries(ids)) {
      const attribute = decoder.GetAttributeByUniqueId(mesh, id);
      const out = new module.DracoFloat32Array();
      decoder.GetAttributeFloatForAllPoints(mesh, attribute, out);
      const size = attribute.num_components();
      const length = size * mesh.num_points();
      const values = Float32Array.from({ length }, (_, at) => out.GetValue(at));
      geometry.setAttribute(name, new BufferAttribute(values, size));
      module.destroy(out);
    }
    for (const used of [mesh, buffer, decoder]) module.destroy(used);
    return geometry;
  };
  const loader = {
    preload: () => loader,
    decodeDracoFile(
      bytes: ArrayBuffer,
      done: (geometry: BufferGeometry) => void,
      ids: Readonly<Record<string, number>>,
    ): void {
      done(decode(bytes, ids));
    },
  };
  // `GLTFLoader` calls these two methods of a loader and no other.
  return loader as unknown as DRACOLoader;
}
