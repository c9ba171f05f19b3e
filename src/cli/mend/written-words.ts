import { dirname } from 'node:path';
import { counted, shortened } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import { namesFile } from './beside-names.js';
import type { NotTaken } from './companions.js';
import type { MendRecord } from './mend-record.js';

/** What was written, as one sentence without a full stop; null where nothing was and all is well. */
export function writtenWords(
  { outcome, out, files, renamed }: MendRecord,
  file: string,
): string | null {
  const shown = visible(out ?? file);
  if (outcome === 'left') return `nothing was mended; ${shown} was not changed`;
  if (out === null) return null;
  const copies = files.filter(({ holds }) => holds === 'companion');
  const more = copies.length === 0 ? '' : `; ${copiedWords(copies.length, out)}`;
  if (outcome === 'copied') return `nothing was mended; ${shown} is a copy of the file${more}`;
  const parts = [`the mended file is ${shown}`];
  const beside = files.filter(({ holds }) => holds === 'buffer');
  if (beside.length > 0) parts.push(`, with ${beside.map(({ path }) => path).join(', ')}`);
  parts.push(more);
  if (renamed.length > 0)
    parts.push(
      `; ${counted(renamed.length, 'path')} of joints changed, old to new in ${visible(namesFile(out))}`,
    );
  const backup = files.find(({ holds }) => holds === 'backup');
  if (backup !== undefined) parts.push(`; the file before it is kept as ${backup.path}`);
  return parts.join('');
}

/** `2 files that it names are copied to out`. */
function copiedWords(count: number, out: string): string {
  const folder = dirname(out) === '.' ? 'this folder' : visible(dirname(out));
  return count === 1
    ? `1 file that it names is copied to ${folder}`
    : `${count} files that it names are copied to ${folder}`;
}

/** Letters of a URI that a line has room for. */
const URI_LETTERS = 200;

/** Of a file that did not go along: what the mended file lacks, and what to do. */
export function notTakenWords({ uri, why }: NotTaken, out: string): string {
  return `${visible(out)} names ${visible(shortened(uri, URI_LETTERS))}, which was not copied: ${why}; copy it yourself`;
}
