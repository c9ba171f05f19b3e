import { lstatSync } from 'node:fs';

/** Why a file cannot be opened whose name is not UTF-8. */
export const GARBLED = 'its name is not valid UTF-8; rename it';

/** Whether a path was read with bytes of it replaced, so that nothing lies under it. */
export function isGarbled(path: string): boolean {
  if (!path.includes('\uFFFD')) return false;
  try {
    return lstatSync(path, { throwIfNoEntry: false }) === undefined;
  } catch {
    // Why it cannot be looked at is reported when it is read.
    return false;
  }
}
