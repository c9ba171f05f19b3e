import { realpathSync } from 'node:fs';
import { isAbsolute, relative, resolve, sep } from 'node:path';
import { type ByteSource, explain, fromMemory, openFile } from './byte-source.js';
import { AssetError } from './errors.js';

/** The bytes of files that lie nowhere yet, by their path in the asset's folder. */
export type HeldFiles = ReadonlyMap<string, Uint8Array>;

const NONE_HELD: HeldFiles = new Map();

/**
 * Opens the bytes behind a buffer's URI: a data URI, or a file in the asset's folder or below.
 *
 * @param folder Folder of the asset; null when it came from standard input and has none.
 * @param where JSON pointer of the buffer, for the error.
 * @param held Files of the asset that are not in its folder yet, by path.
 *
 * Throws AssetError for everything else: network addresses, absolute paths, and paths that leave
 * the folder, also through a symbolic link. A rig check must not read what it was not given.
 */
export function openBufferUri(
  uri: string,
  folder: string | null,
  where: string,
  held: HeldFiles = NONE_HELD,
): ByteSource {
  const fail = (cause: string): never => {
    throw new AssetError(cause, where);
  };
  const shown = JSON.stringify(uri.slice(0, 80));
  if (/^data:/i.test(uri)) return fromMemory(decodeDataUri(uri, where));
  if (/^\/\//.test(uri) || /^(https?|ftp|wss?):/i.test(uri))
    return fail(
      `the buffer ${shown} is a network address, and trysquare does not read from the network; store it beside the asset`,
    );
  let path: string;
  try {
    path = decodeURIComponent(uri);
  } catch {
    return fail(`the buffer URI ${shown} has a broken percent escape`);
  }
  if (path === '' || path.includes('\0')) return fail(`the buffer URI ${shown} names no file`);
  if (isAbsolute(path) || /^[a-z][a-z0-9+.-]*:/i.test(path) || path.startsWith('\\'))
    return fail(
      `the buffer ${shown} has an absolute path, and only files in the asset's own folder are read; use a relative path`,
    );
  const bytes = held.get(path);
  if (bytes !== undefined) return fromMemory(bytes);
  if (folder === null)
    return fail(
      `the buffer ${shown} is a separate file, but an asset on standard input has no folder; check the file by its name`,
    );
  if (path.split(/[\\/]/).includes('..') && leaves(folder, resolve(folder, path)))
    return fail(
      `the buffer ${shown} is outside the asset's folder, and only files in that folder are read`,
    );
  const realPath = (given: string): string => {
    try {
      return realpathSync(given);
    } catch (error) {
      return fail(`the buffer ${shown} cannot be opened: ${explain(error)}`);
    }
  };
  const real = realPath(resolve(folder, path));
  if (leaves(realPath(folder), real))
    return fail(
      `the buffer ${shown} is a symbolic link to a file outside the asset's folder, and only files in that folder are read`,
    );
  try {
    return openFile(real);
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    return fail(`the buffer ${shown} cannot be opened: ${error.reason}`);
  }
}

function leaves(folder: string, path: string): boolean {
  const down = relative(folder, path);
  return down === '..' || down.startsWith(`..${sep}`) || isAbsolute(down);
}

function decodeDataUri(uri: string, where: string): Uint8Array {
  const comma = uri.indexOf(',');
  if (comma < 0) throw new AssetError('the data URI has no comma', where);
  const data = uri.slice(comma + 1);
  if (/;\s*base64$/i.test(uri.slice(0, comma))) {
    // Node drops letters that are no base64, and what is left has another length.
    if (/[^A-Za-z0-9+/_=\s-]/.test(data)) throw new AssetError('the data URI is not base64', where);
    return Buffer.from(data, 'base64');
  }
  if (/%(?![0-9a-f]{2})/i.test(data))
    throw new AssetError('the data URI has a broken percent escape', where);
  // Escapes stand for bytes, not for letters (RFC 2397).
  const letters = data.replace(/%([0-9a-f]{2})/gi, (_, hex: string) =>
    String.fromCharCode(Number.parseInt(hex, 16)),
  );
  return Buffer.from(letters, 'latin1');
}
