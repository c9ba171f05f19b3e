import { findUpward } from '../house/find-upward.js';

/** The name a standard is looked for under. */
export const STANDARD_NAME = 'trysquare.json';

/** The nearest standard in `folder` or any folder above it; null when there is none. */
export function findStandard(folder: string): string | null {
  return findUpward(folder, STANDARD_NAME);
}
