import { posix } from 'node:path';

/** Where paths begin, and what their URIs are relative to. */
export interface UriBase {
  /** Absolute folder that relative paths begin at, with no slash at its end. */
  readonly base: string;
  /** The folder that URIs are relative to, by each name it has; `base` where there is none. */
  readonly roots?: readonly string[];
}

/**
 * The URI of an asset for SARIF: a relative reference, percent-encoded, that needs no base URI,
 * because services ignore these. What lies outside has `..` in it; only a path on another Windows
 * drive, which nothing can be relative to, becomes a `file:` URI.
 *
 * @param path With forward slashes; `-` for standard input.
 */
export function artifactUri(
  path: string,
  { base, roots = [] }: UriBase,
  kind: 'glb' | 'gltf',
): string {
  if (path === '-') return `stdin.${kind}`;
  const target = locate(path, base);
  const routes = (roots.length > 0 ? roots : [base]).map((root) => routeTo(target, root));
  const route = routes.find(isWithin) ?? routes.at(-1) ?? null;
  return route === null ? `file:///${target[0]}${encodePath(target[1])}` : encodePath(route);
}

/**
 * Whether a path lies below a folder, by one of its names.
 *
 * @param from Absolute folder that a relative path begins at.
 */
export function isBelow(path: string, from: string, names: readonly string[]): boolean {
  const target = locate(path, from);
  return names.some((name) => isWithin(routeTo(target, name)));
}

/** An absolute path with forward slashes; the drive is `C:` or empty. */
type Located = readonly [drive: string, path: string];

function locate(path: string, from: string): Located {
  const target = splitDrive(path);
  if (target[0] !== '') return target;
  const [drive, folder] = splitDrive(forward(from));
  return [drive, posix.resolve(folder, path)];
}

/** The path from a folder to a file; null where they are on two drives. */
function routeTo([drive, path]: Located, from: string): string | null {
  const [start, folder] = splitDrive(forward(from));
  return drive === start ? posix.relative(folder, path) : null;
}

function isWithin(route: string | null): boolean {
  return route !== null && route !== '..' && !route.startsWith('../');
}

function forward(folder: string): string {
  return /^[A-Za-z]:\\/.test(folder) ? folder.replaceAll('\\', '/') : folder;
}

function splitDrive(path: string): Located {
  const drive = /^[A-Za-z]:(?=\/)/.exec(path)?.[0] ?? '';
  return [drive.toUpperCase(), path.slice(drive.length)];
}

/**
 * Encodes each segment. A colon goes too, since one in the first segment would make a scheme
 * (RFC 3986, 4.2); half a surrogate pair has no UTF-8 and becomes U+FFFD.
 */
function encodePath(path: string): string {
  const segments = path.replace(/\p{Surrogate}/gu, '\ufffd').split('/');
  return segments.map(encodeURIComponent).join('/');
}
