import { findNodeAtLocation } from 'jsonc-parser';
import { UsageError } from '../asset/errors.js';
import { type HouseFile, isRecord } from '../house/house-file.js';

/** What a standard says by itself, and the next one above. */
interface Said {
  readonly shown: string;
  readonly own: unknown;
  readonly above: Said | null;
}

type Path = readonly (string | number)[];

/**
 * Tells a fault of a merged standard in the nearest file: those above were sound without it. Where it
 * is about what is written above, or comes of both together, that is said.
 *
 * @param readAlone Reads the nearer file by itself; throws what is wrong with it then.
 */
export function failingBelow(
  { root, failAt }: HouseFile,
  above: Said,
  readAlone: () => unknown,
): HouseFile['failAt'] {
  return (path, message) => {
    if (findNodeAtLocation(root, [...path]) !== undefined) {
      const [part = ''] = path;
      const other = isAlone(readAlone, message) ? null : writerOf(above, [part]);
      const together =
        other && ` (with what this file takes from ${other.shown}; "alone": true takes nothing)`;
      return failAt(path, `${message}${together ?? ''}`);
    }
    let place = path;
    while (place.length > 0 && findNodeAtLocation(root, [...place]) === undefined)
      place = place.slice(0, -1);
    const from = writerOf(above, path);
    const key = `"${path.join('" > "')}"`;
    const origin =
      from &&
      ` (${key} is taken from ${from.shown}; write it here, too, or take nothing with "alone": true)`;
    return failAt(place, `${message}${origin ?? ''}`);
  };
}

/** Whether a file has a fault without those above it, too. */
function isAlone(readAlone: () => unknown, message: string): boolean {
  try {
    readAlone();
    return false;
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    return error.message.endsWith(message);
  }
}

/** The nearest standard that says something of a place; null for none. */
function writerOf(standard: Said | null, path: Path): Said | null {
  if (standard === null) return null;
  const value = path.reduce<unknown>(
    (at, key) => (isRecord(at) ? at[key] : undefined),
    standard.own,
  );
  return value === undefined ? writerOf(standard.above, path) : standard;
}
