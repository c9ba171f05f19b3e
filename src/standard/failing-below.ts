import { findNodeAtLocation } from 'jsonc-parser';
import { type HouseFile, isRecord } from '../house/house-file.js';

/** What a standard says by itself, and the next one above. */
interface Said {
  readonly shown: string;
  readonly own: unknown;
  readonly above: Said | null;
}

/**
 * Tells a fault of a merged standard in the nearest file: those above were sound without it. Where it
 * is about what is written above, that is said.
 */
export function failingBelow({ root, failAt }: HouseFile, above: Said): HouseFile['failAt'] {
  return (path, message) => {
    if (findNodeAtLocation(root, [...path]) !== undefined) return failAt(path, message);
    let place = path;
    while (place.length > 0 && findNodeAtLocation(root, [...place]) === undefined)
      place = place.slice(0, -1);
    const from = writerOf(above, path);
    const key = `"${path.join('" > "')}"`;
    return failAt(
      place,
      from === null
        ? message
        : `${message} (${key} is from ${from.shown}; write it here too, or write "alone": true to take nothing from there)`,
    );
  };
}

/** The nearest standard that says something of a place; null for none. */
function writerOf(standard: Said | null, path: readonly (string | number)[]): Said | null {
  if (standard === null) return null;
  const value = path.reduce<unknown>(
    (at, key) => (isRecord(at) ? at[key] : undefined),
    standard.own,
  );
  return value === undefined ? writerOf(standard.above, path) : standard;
}
