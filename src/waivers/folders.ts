import { resolve } from 'node:path';
import { literalPattern, namesOf, partsOfPath, relativePattern } from '../house/asset-pattern.js';
import { slashes } from '../report/slashes.js';

export interface Folders {
  /** Absolute path of the folder that the paths of the report are relative to. */
  readonly cwd: string;
  /** Absolute path of the folder that the ledger is in. */
  readonly ledger: string;
}

/** The pattern, relative to the ledger, that fits one file of the report and no other. */
export function patternOf(asset: string, { cwd, ledger }: Folders): string {
  const names = partsOfPath(slashes(resolve(cwd, asset)));
  return relativePattern(names.map(literalPattern), slashes(ledger));
}

/** A pattern of paths as the report has them, written relative to the ledger. */
export function rebased(pattern: string, { cwd, ledger }: Folders): string {
  return relativePattern(wholePattern(pattern, cwd), slashes(ledger));
}

/** The names of a pattern that is relative to a folder, from the root down, each as a pattern. */
export function wholePattern(pattern: string, folder: string): string[] {
  const names = partsOfPath(slashes(folder)).map(literalPattern);
  for (const name of namesOf(pattern)) {
    if (name === '..') names.pop();
    else names.push(name);
  }
  return names;
}

/** A path from its names: a drive on Windows, else the root before them. */
export function absolute(names: string): string {
  return /^[A-Za-z]:/.test(names) ? names : `/${names}`;
}
