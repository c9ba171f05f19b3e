import { AssetError } from './errors.js';

/** Extensions that are decoded here. */
const DECODED = /^(KHR_mesh_quantization|EXT_meshopt_compression|KHR_draco_mesh_compression)$/;

/**
 * Extensions that cannot change where a vertex or a joint is: looks, light, sound, metadata, and
 * the humanoid mappings of VRM, which only name joints.
 */
const HARMLESS =
  /^(KHR_(materials|texture|lights|xmp|audio|node_visibility|node_hoverability|node_selectability)|EXT_(texture|lights|materials|mesh_features|structural_metadata)|MSFT_(texture|packing|lod)|ADOBE_materials|GOOGLE_texture|VRM|KHR_technique|KHR_binary_glTF)/;

/**
 * Throws AssetError for a required extension that is unknown and could change the geometry: what
 * was measured without it would be another shape than the one people see.
 */
export function checkRequiredExtensions(required: readonly string[]): void {
  required.forEach((name, index) => {
    if (DECODED.test(name) || HARMLESS.test(name)) return;
    throw new AssetError(
      `it requires the extension ${JSON.stringify(name)}, which is not supported and could change the geometry`,
      `/extensionsRequired/${index}`,
    );
  });
}
