import { resolve } from 'node:path';
import { type AssetPattern, assetPatternOr, fits, partsOfPath } from '../house/asset-pattern.js';
import type { HouseFile } from '../house/house-file.js';

/** Assets that have to fit an approved one. */
export interface ApprovedPattern {
  readonly pattern: AssetPattern;
  /** The pattern, as the standard has it. */
  readonly text: string;
  /** The approved asset, as the standard has it, and where it is. */
  readonly written: string;
  readonly path: string;
  /** The standard that says so, as the user knows it. */
  readonly standard: string;
}

/**
 * The approved assets of a standard, the most specific pattern first.
 *
 * @param folder The standard's.
 * @param standard The standard, as the user knows it.
 */
export function approvedPatterns(
  written: Readonly<Record<string, string>>,
  folder: string,
  standard: string,
  failAt: HouseFile['failAt'],
): ApprovedPattern[] {
  const base = folder.replaceAll('\\', '/');
  return Object.entries(written)
    .map(([text, asset]) => {
      const pattern = assetPatternOr(text, base, (fault) =>
        failAt(['approved', text], `"approved" > "${text}" ${fault}`),
      );
      const approved = { pattern, text, written: asset, path: resolve(folder, asset), standard };
      return { ...approved, letters: text.replace(/[*?[\]{}]/g, '').length };
    })
    .sort((a, b) => b.letters - a.letters)
    .map(({ letters: _, ...approved }) => approved);
}

/** The approved asset that an asset has to fit; null for none. It need not fit itself. */
export function approvedFor(
  patterns: readonly ApprovedPattern[],
  path: string,
): ApprovedPattern | null {
  const names = partsOfPath(path.replaceAll('\\', '/'));
  const found = patterns.find(({ pattern }) => fits(pattern, names));
  return found === undefined || found.path === path ? null : found;
}

/**
 * Patterns that fit none of the files found in some folders, though all that they can fit lies in them:
 * a file was renamed, or the pattern is misspelled.
 *
 * @param folders Absolute, as the files are.
 */
export function idlePatterns(
  patterns: readonly ApprovedPattern[],
  paths: readonly string[],
  folders: readonly string[],
): ApprovedPattern[] {
  const [files, searched] = [paths, folders].map((list) =>
    list.map((path) => partsOfPath(path.replaceAll('\\', '/'))),
  );
  return patterns.filter(({ pattern }) => {
    const { parts } = pattern;
    const isSearched = searched?.some((folder) => folder.every((name, at) => parts[at] === name));
    return isSearched === true && files?.some((names) => fits(pattern, names)) === false;
  });
}
