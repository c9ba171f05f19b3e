import { inject } from 'vitest';
// For the type of what it provides.
import type {} from './build-once.js';

/** What `npm pack` made of a copy of the source, once for all tests, which leave it as it is. */
export interface Built {
  /** The copy: source, `dist`, and `node_modules` as a link. */
  readonly folder: string;
  /** To be put before PATH: holds the unpacked command as `trysquare`, as an installation would. */
  readonly path: string;
  /** The lines that `npm pack` printed. */
  readonly printed: readonly string[];
}

export const built: Built = inject('built');
