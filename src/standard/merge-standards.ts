import { isRecord } from '../house/house-file.js';
import { withoutOtherPlace } from './contract-limits.js';
import type { StandardFile } from './standard-file.js';

/** What is about one file's folder or one file itself, and is never merged. */
const OF_ONE_FILE = ['$schema', 'alone', 'approved', 'without'];

/** Both ends and the unit of a range are one value: a number means nothing under the unit of another file. */
const WHOLE = ['contract.height'];

/**
 * What a standard says together with those above it: it goes before them, and what it leaves out is
 * theirs. Objects are merged key by key; lists and single values are taken whole, since nobody could
 * take an entry out of a list that is added to. What is about folders (`approved`, `without`) stays as
 * the nearer one has it.
 *
 * @param above What those above say, merged already.
 */
export function withAbove(near: StandardFile, above: StandardFile): StandardFile {
  const theirs = Object.fromEntries(
    Object.entries({
      ...withoutOtherPlace(near, above),
      levels: levelsLeft(near, above),
    }).filter(([key]) => !OF_ONE_FILE.includes(key)),
  );
  // Both fit the schema, which has the same keys of the same kinds for each: so does what is merged.
  return merged(near, theirs, '') as StandardFile;
}

/** Levels from above; one of a rule gives way to one that the nearer file gives to its family. */
function levelsLeft(near: StandardFile, above: StandardFile): StandardFile['levels'] & object {
  const given = near.levels ?? {};
  const entries = Object.entries(above.levels ?? {});
  return Object.fromEntries(
    entries.filter(([id]) => !Object.hasOwn(given, id.split('.')[0] ?? '')),
  );
}

function merged(near: unknown, above: unknown, place: string): unknown {
  if (near === undefined) return above;
  if (!isTree(near) || !isTree(above) || WHOLE.includes(place)) return near;
  const keys = new Set([...Object.keys(above), ...Object.keys(near)]);
  const inside = (key: string): string => (place === '' ? key : `${place}.${key}`);
  return Object.fromEntries(
    [...keys].map((key) => [key, merged(near[key], above[key], inside(key))]),
  );
}

function isTree(value: unknown): value is Readonly<Record<string, unknown>> {
  return isRecord(value) && !Array.isArray(value);
}
