import { groupBy } from '../rig/group-by.js';
import { ANIMAL } from './handing-in/apart.js';
import type { OlderMarks } from './older/older-marks.js';
import type { Row } from './submission.js';

/** A submission with the very files that others handed in before. */
export interface Swapped {
  readonly name: string;
  readonly isOneFile: boolean;
  /** Those others, in their order. */
  readonly of: readonly string[];
}

/**
 * Who hands in what another handed in before, for the teacher alone: a fact that can have many reasons.
 * Files that a submission had before as well are its own, and so are those of what it is perhaps a new name of.
 *
 * @param perhaps For a submission that is new, the names of absent ones that it may be.
 */
export function swappedFiles(
  rows: readonly Pick<Row, 'name' | 'from' | 'files' | 'record'>[],
  older: Pick<OlderMarks, 'all' | 'byName'>,
  perhaps: ReadonlyMap<string, readonly string[]>,
): Swapped[] {
  const byContent = groupBy(older.all, ({ content }) => content);
  byContent.delete(null);
  return [...groupBy(rows, ({ from }) => from)].flatMap(([name, pieces]): Swapped[] => {
    const same = byContent.get(pieces[0]?.record.content ?? null) ?? [];
    const own = new Set(pieces.map((piece) => older.byName.get(piece.name)));
    // Animals of one submission have its files in common, also one that has another name now.
    const isOwn = (mark: (typeof same)[number]): boolean =>
      own.has(mark) || mark.name === name || mark.name.startsWith(`${name}${ANIMAL}`);
    if (same.some(isOwn)) return [];
    const told = new Set(pieces.flatMap((piece) => perhaps.get(piece.name) ?? []));
    const of = same.map((mark) => mark.name).filter((other) => !told.has(other));
    const files = pieces.reduce((sum, piece) => sum + piece.files, 0);
    return of.length === 0 ? [] : [{ name, isOneFile: files === 1, of }];
  });
}
