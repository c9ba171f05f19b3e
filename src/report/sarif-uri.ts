import { posix } from 'node:path';

/**
 * The URI of an asset for SARIF: a relative reference, percent-encoded, that stands by itself,
 * because services ignore base URIs. It is relative to the folder `base`; only a path on another
 * Windows drive, which nothing can be relative to, becomes a `file:` URI.
 *
 * @param path With forward slashes; `-` for standard input.
 */
export function artifactUri(path: string, base: string, kind: 'glb' | 'gltf'): string {
  if (path === '-') return `stdin.${kind}`;
  const drive = driveOf(path);
  const folder = base.replace(/^[A-Za-z]:\\.*/, (windows) => windows.replaceAll('\\', '/'));
  if (drive !== null && drive !== driveOf(folder))
    return `file:///${drive}${encodePath(path.slice(2))}`;
  const plain = drive === null ? path : path.slice(2);
  if (!posix.isAbsolute(plain)) return encodePath(posix.normalize(plain));
  return encodePath(posix.relative(drive === null ? folder : folder.slice(2), plain));
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
