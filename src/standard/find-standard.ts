import { dirname } from 'node:path';
import { findUpward } from '../house/find-upward.js';

/** The name a standard is looked for under. */
export const STANDARD_NAME = 'trysquare.json';

/** The nearest standard in `folder` or any folder above it; null when there is none. */
export function findStandard(folder: string): string | null {
  return findUpward(folder, STANDARD_NAME);
}

/** All standards from `folder` up, the nearest first. */
export function standardsFrom(folder: string): string[] {
  const nearest = findStandard(folder);
  if (nearest === null) return [];
  const [at, above] = [dirname(nearest), dirname(dirname(nearest))];
  return above === at ? [nearest] : [nearest, ...standardsFrom(above)];
}
