import { Cursor } from '../../asset/narrow.js';

/**
 * Throws AssetError for a file without parts that glTF 2.0 requires (5.5 Animation, 5.23 Mesh, 5.24 Mesh
 * Primitive): a check can do without them, but a mend writes to them.
 */
export function refuseIncomplete(json: unknown): void {
  const root = new Cursor(json);
  root.at('animations').list((animation) => {
    need(animation, 'channels');
    need(animation, 'samplers');
  });
  root
    .at('meshes')
    .list((mesh) => need(mesh, 'primitives').list((primitive) => need(primitive, 'attributes')));
  // Nobody reads images, but their files are listed with those beside the asset.
  root.at('images').list((image) => image.at('uri').or('', (uri) => uri.text()));
}

function need(holder: Cursor, key: string): Cursor {
  const part = holder.at(key);
  return part.missing ? part.fail(`the file has no ${key} here; export it again`) : part;
}
