import { type Dirent, readdirSync } from 'node:fs';
import { extname, join } from 'node:path';
import { explain } from '../asset/byte-source.js';
import { UsageError } from '../asset/errors.js';
import { GARBLED, isGarbled } from '../asset/garbled-name.js';
import { shortened } from '../report/finding-words.js';
import { visible } from '../report/visible.js';

/** One thing handed in, by the name it has in the folder of the class. */
export type Entry =
  | { readonly kind: 'asset' | 'folder'; readonly name: string }
  | { readonly kind: 'other'; readonly name: string; readonly reason: string };

const ASSET = /\.(glb|gltf|vrm)$/i;

/** What a `.gltf` keeps beside itself: buffers and images. */
const COMPANION = /\.(bin|png|jpe?g|webp|ktx2)$/i;

/** A folder of file attributes that an archive program leaves beside what it packed. */
const LEFT_BEHIND = '__MACOSX';

/** Endings of packed files (common practice). */
const PACKED = /\.(zip|7z|rar|tar|tgz|gz|bz2|xz)$/i;

/** Letters of an ending that a message shows. */
const ENDING_LETTERS = 20;

/**
 * What was handed in, directly in a folder, in name order. Names that begin with a point are no
 * submissions, nor is the folder that an archive program leaves behind; nor are buffers and images while there is a `.gltf` beside them.
 *
 * @param shown The folder as the user knows it.
 * @param leaveOut Names that are not looked at: what this tool keeps there itself.
 * @throws UsageError when the folder cannot be listed.
 */
export function listEntries(folder: string, shown: string, leaveOut: ReadonlySet<string>): Entry[] {
  const all = read(folder, shown)
    .filter(({ name }) => !name.startsWith('.') && name !== LEFT_BEHIND && !leaveOut.has(name))
    .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
  const loose = all.some((item) => item.isFile() && /\.gltf$/i.test(item.name));
  return all.flatMap((item) => {
    if (isGarbled(join(folder, item.name)))
      return [{ kind: 'other' as const, name: item.name, reason: GARBLED }];
    if (loose && item.isFile() && COMPANION.test(item.name)) return [];
    return [entryOf(item)];
  });
}

function read(folder: string, shown: string): Dirent[] {
  try {
    return readdirSync(folder, { withFileTypes: true });
  } catch (error) {
    throw new UsageError(`the folder ${visible(shown)} cannot be listed: ${explain(error)}`);
  }
}

const LINK = 'it is a link, and links are not followed; hand in the file or folder itself';

function entryOf(item: Dirent): Entry {
  const { name } = item;
  const other = (reason: string): Entry => ({ kind: 'other', name, reason });
  if (item.isDirectory()) return { kind: 'folder', name };
  // It could lead into another submission, or out of the folder.
  if (item.isSymbolicLink()) return other(LINK);
  if (!item.isFile()) return other('it is neither a file nor a folder');
  if (ASSET.test(name)) return { kind: 'asset', name };
  const ending = shortened(extname(name), ENDING_LETTERS);
  const kind = ending === '' || ending === '.' ? 'a file without an ending' : `a ${ending} file`;
  return other(
    PACKED.test(name)
      ? `${kind} is packed; unpack it and hand in its contents`
      : `${kind} is not glTF; hand in a .glb, .gltf or .vrm file`,
  );
}
