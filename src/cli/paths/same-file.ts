import { realpathSync } from 'node:fs';

/** Whether two paths lead to one file, whichever links they take. */
export function isSameFile(a: string, b: string): boolean {
  if (a === b) return true;
  try {
    return realpathSync(a) === realpathSync(b);
  } catch {
    return false;
  }
}
