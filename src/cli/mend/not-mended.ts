import { bareRecord } from './mend-record.js';
import type { MendDone, MendTask } from './mend-task.js';
import { laidOut } from './mend-words.js';

/** What is told of an asset that was not mended, or had to be given up. */
export function notMended(
  { name, columns }: Pick<MendTask, 'name' | 'columns'>,
  outcome: 'unreadable' | 'failed',
  why: string,
  where: string | null = null,
): MendDone {
  const what = outcome === 'unreadable' ? 'cannot be mended' : 'was not mended';
  const place = where === null ? '' : ` (at ${where})`;
  return {
    record: bareRecord(name, outcome, why, where),
    text: laidOut([`${name} ${what}: ${why}${place}.`], columns),
    renames: [],
    failed: null,
  };
}
