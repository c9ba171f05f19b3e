import { Cursor } from '../../asset/narrow.js';

/**
 * Holds a file that is to be changed to what glTF 2.0 requires (5.5 Animation, 5.23 Mesh, 5.24 Mesh
 * Primitive) where a check gets on without it: a mend goes through these lists and writes to them.
 * Throws AssetError.
 */
export function refuseIncomplete(json: unknown): void {
  const root = new Cursor(json);
  root.at('animations').list((animation) => {
    need(animation, 'channels');
    need(animation, 'samplers');
  });
  root.at('meshes').list((mesh) => {
    need(mesh, 'primitives').list((primitive) => need(primitive, 'attributes'));
  });
  // Nobody reads images, but the files that they lead to go along.
  root.at('images').list((image) => image.at('uri').or('', (uri) => uri.text()));
}

function need(holder: Cursor, key: string): Cursor {
  const part = holder.at(key);
  return part.missing ? part.fail(`the file has no ${key} here; export it again`) : part;
}
