import { type Dirent, readdirSync } from 'node:fs';
import { extname, join } from 'node:path';
import { explain } from '../asset/byte-source.js';
import { UsageError } from '../asset/errors.js';
import { GARBLED, isGarbled } from '../asset/garbled-name.js';
import { shortened } from '../report/finding-words.js';
import { visible } from '../report/visible.js';
import { compareTexts } from '../rig/sibling-order.js';

/** One thing handed in, by the name it has in the folder of the class. */
export type Entry =
  | { readonly kind: 'asset' | 'folder'; readonly name: string }
  | { readonly kind: 'other'; readonly name: string; readonly reason: string };

const ASSET = /\.(glb|gltf|vrm)$/i;
/** What a `.gltf` keeps beside itself: buffers and images. */
const COMPANION = /\.(bin|png|jpe?g|webp|ktx2)$/i;
/** Endings of packed files (common practice). */
const PACKED = /\.(zip|7z|rar|tar|tgz|gz|bz2|xz)$/i;
/** A folder of file attributes that an archive program leaves beside what it packed. */
const LEFT_BEHIND = '__MACOSX';
/** Letters of an ending that a message shows. */
const ENDING_LETTERS = 20;

/**
 * What was handed in, directly in a folder, in name order. No submissions are names that begin with a
 * point, the folder that an archive program leaves behind, what this tool keeps there itself
 * (`leaveOut`), and buffers and images beside a `.gltf`. Throws UsageError when it cannot be listed.
 */
export function listEntries(folder: string, shown: string, leaveOut: ReadonlySet<string>): Entry[] {
  const all = read(folder, shown)
    .filter(({ name }) => !name.startsWith('.') && name !== LEFT_BEHIND && !leaveOut.has(name))
    .sort((a, b) => compareTexts(a.name, b.name));
  const loose = all.some((entry) => entry.isFile() && /\.gltf$/i.test(entry.name));
  return all.flatMap((entry): Entry[] => {
    const { name } = entry;
    if (isGarbled(join(folder, name))) return [{ kind: 'other', name, reason: GARBLED }];
    return loose && entry.isFile() && COMPANION.test(name) ? [] : [entryOf(entry)];
  });
}

function read(folder: string, shown: string): Dirent[] {
  try {
    return readdirSync(folder, { withFileTypes: true });
  } catch (error) {
    throw new UsageError(`the folder ${visible(shown)} cannot be listed: ${explain(error)}`);
  }
}

function entryOf(entry: Dirent): Entry {
  const { name } = entry;
  if (entry.isDirectory()) return { kind: 'folder', name };
  if (entry.isFile() && ASSET.test(name)) return { kind: 'asset', name };
  return { kind: 'other', name, reason: whyNot(entry) };
}

function whyNot(entry: Dirent): string {
  // It could lead into another submission, or out of the folder.
  if (entry.isSymbolicLink())
    return 'it is a link, and links are not followed; hand in the file or folder itself';
  if (!entry.isFile()) return 'it is neither a file nor a folder';
  const ending = shortened(extname(entry.name), ENDING_LETTERS);
  const kind = ending === '' || ending === '.' ? 'a file without an ending' : `a ${ending} file`;
  return PACKED.test(entry.name)
    ? `${kind} is packed; unpack it and hand in its contents`
    : `${kind} is not glTF; hand in a .glb, .gltf or .vrm file`;
}
