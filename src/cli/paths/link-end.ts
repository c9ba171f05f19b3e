import { readlinkSync, realpathSync, statSync } from 'node:fs';
import { sep } from 'node:path';
import { explain } from '../../asset/byte-source.js';
import { shortened } from '../../report/finding-words.js';

/** What a link leads to in the end, by its real path; or why nothing is to be found there. */
export type LinkEnd =
  | { readonly kind: 'file' | 'folder' | 'other'; readonly real: string }
  | { readonly kind: 'nothing'; readonly reason: string };

/** Follows a link to its end. */
export function linkEnd(path: string): LinkEnd {
  try {
    const real = realpathSync.native(path);
    const stats = statSync(real);
    return { kind: stats.isFile() ? 'file' : stats.isDirectory() ? 'folder' : 'other', real };
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? error.code : '';
    let reason = `it is a link that cannot be followed${targetOf(path)}: ${explain(error)}`;
    if (code === 'ELOOP') reason = 'it is a link that leads back to itself; remove the link';
    if (code === 'ENOENT' || code === 'ENOTDIR')
      reason = `it is a link to something that does not exist${targetOf(path)}; correct or remove the link`;
    return { kind: 'nothing', reason };
  }
}

/** Whether two paths lead to one file, whichever links they take. */
export function isSameFile(a: string, b: string): boolean {
  if (a === b) return true;
  try {
    return realpathSync(a) === realpathSync(b);
  } catch {
    return false;
  }
}

/** Whether a real path is a folder or lies in it. */
export function isWithin(real: string, folder: string): boolean {
  return real === folder || real.startsWith(folder.endsWith(sep) ? folder : folder + sep);
}

/** Letters of a link's target that a message has room for. */
const MOST_LETTERS = 100;

/** What is written in a link, in brackets; nothing where it is gone meanwhile. */
export function targetOf(path: string): string {
  try {
    return ` (${shortened(readlinkSync(path), MOST_LETTERS)})`;
  } catch {
    return '';
  }
}
