import { statSync } from 'node:fs';
import { dirname } from 'node:path';
import { type Companion, companionsOf } from './companions.js';
import { namedFiles } from './named-files.js';

/** Bytes of an asset with the buffers beside it: about what a mend of it has to go through. */
export async function assetBytes(path: string): Promise<number> {
  // What is binary has its buffer in itself.
  const named = /\.gltf$/i.test(path) ? await namedFiles(path) : [];
  return bytesOf(path, companionsOf(named, dirname(path)).taken);
}

/** The same where it is known what lies beside it. */
export function bytesOf(path: string, beside: readonly Companion[]): number {
  const read = beside.filter(({ name }) => !PICTURE.test(name));
  return [path, ...read.map(({ from }) => from)].reduce((sum, file) => sum + sizeOf(file), 0);
}

/** Pictures are copied as they are. */
const PICTURE = /\.(png|jpe?g|webp|avif|ktx2|dds)$/i;

function sizeOf(file: string): number {
  try {
    return statSync(file, { throwIfNoEntry: false })?.size ?? 0;
  } catch {
    // Why it cannot be looked at is reported when it is read.
    return 0;
  }
}
