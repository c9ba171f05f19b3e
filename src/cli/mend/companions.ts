import { realpathSync } from 'node:fs';
import { isAbsolute, relative, resolve } from 'node:path';
import { explain } from '../../asset/byte-source.js';
import { isWithin, linkEnd } from '../paths/link-end.js';

/** A file that an asset names and that goes along with it into another folder. */
export interface Companion {
  /** Real path of the file. */
  readonly from: string;
  /** Where it lies from the folder of the asset on. */
  readonly name: string;
}

/** A file that an asset names and that cannot go along. */
export interface NotTaken {
  readonly uri: string;
  readonly why: string;
}

/**
 * The file behind a URI in an asset. Nothing outside the folder of the asset is read, whatever the file
 * says, also not through a link; and only regular files, since opening others can wait for ever.
 *
 * @param uri One that `urisIn` gives: it is relative, and it can be decoded.
 */
export function companionOf(uri: string, folder: string): Companion | NotTaken {
  const path = decodeURIComponent(uri);
  const full = resolve(folder, path);
  if (path.includes('\0')) return { uri, why: 'it names no file' };
  if (isAbsolute(path) || path.startsWith('\\') || !isWithin(full, resolve(folder)))
    return { uri, why: "it is outside the asset's folder" };
  try {
    const [home, real] = [realpathSync(folder), realpathSync(full)];
    if (!isWithin(real, home))
      return { uri, why: "it is a link to a file outside the asset's folder" };
    if (linkEnd(full).kind !== 'file') return { uri, why: 'it is not a regular file' };
    return { from: real, name: relative(resolve(folder), full) };
  } catch (error) {
    return { uri, why: explain(error) };
  }
}

/** The files that can go along, each once however its name is spelled, and those that cannot. */
export function companionsOf(uris: readonly string[], folder: string) {
  const all = uris.map((uri) => companionOf(uri, folder));
  const taken = all.filter((one): one is Companion => 'from' in one);
  return {
    taken: [...new Map(taken.map((one) => [one.name, one])).values()],
    notTaken: all.filter((one): one is NotTaken => 'why' in one),
  };
}
