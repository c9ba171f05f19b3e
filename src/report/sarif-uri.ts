import { posix } from 'node:path';

/** Where paths are told from, and what their URIs are relative to. */
export interface UriBase {
  /** Absolute folder that paths are told from, with no slash at its end. */
  readonly base: string;
  /** The folder that URIs are relative to, by each name it has; the same folder where there is none. */
  readonly roots?: readonly string[];
}

/**
 * The URI of an asset for SARIF: a relative reference, percent-encoded, that stands by itself,
 * because services ignore base URIs. What lies outside has `..` in it; only a path on another
 * Windows drive, which nothing can be relative to, becomes a `file:` URI.
 *
 * @param path With forward slashes; `-` for standard input.
 */
export function artifactUri(
  path: string,
  { base, roots = [] }: UriBase,
  kind: 'glb' | 'gltf',
): string {
  if (path === '-') return `stdin.${kind}`;
  const folder = forward(base);
  const named = roots.map(forward);
  const root = named.find((name) => isBelow(path, folder, [name])) ?? named.at(-1) ?? folder;
  const absolute = absoluteOf(path, folder);
  const drive = driveOf(absolute);
  if (drive !== driveOf(root)) return `file:///${drive}${encodePath(absolute.slice(2))}`;
  return encodePath(posix.relative(withoutDrive(root), withoutDrive(absolute)));
}

/**
 * Whether a path lies below a folder, by one of its names.
 *
 * @param from Absolute folder that the path is told from.
 */
export function isBelow(path: string, from: string, names: readonly string[]): boolean {
  const absolute = absoluteOf(path, forward(from));
  return names.map(forward).some((name) => {
    if (driveOf(absolute) !== driveOf(name)) return false;
    const way = posix.relative(withoutDrive(name), withoutDrive(absolute));
    return way !== '..' && !way.startsWith('../');
  });
}

function absoluteOf(path: string, folder: string): string {
  if (driveOf(path) !== null) return path;
  const drive = driveOf(folder) === null ? '' : folder.slice(0, 2);
  return `${drive}${posix.resolve(withoutDrive(folder), path)}`;
}

function forward(folder: string): string {
  return folder.replace(/^[A-Za-z]:\\.*/, (windows) => windows.replaceAll('\\', '/'));
}

function withoutDrive(path: string): string {
  return driveOf(path) === null ? path : path.slice(2);
}

function driveOf(path: string): string | null {
  return /^[A-Za-z]:\//.test(path) ? path.slice(0, 2).toUpperCase() : null;
}

/**
 * Encodes each segment. A colon goes too, since one in the first segment would make a scheme
 * (RFC 3986, 4.2); half a surrogate pair has no UTF-8 and becomes U+FFFD.
 */
function encodePath(path: string): string {
  return path
    .replace(/\p{Surrogate}/gu, '\ufffd')
    .split('/')
    .map(encodeURIComponent)
    .join('/');
}
