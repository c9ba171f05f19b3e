import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { repository } from '../source-copy.js';

/** README.md and every page of `docs`, as paths in the repository. */
export const pagePaths: readonly string[] = [
  'README.md',
  ...readdirSync(join(repository, 'docs'))
    .filter((name) => name.endsWith('.md'))
    .sort()
    .map((name) => `docs/${name}`),
];

export function readPage(path: string): string {
  return readFileSync(join(repository, path), 'utf8');
}
