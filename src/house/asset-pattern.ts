import { type NameTest, nameTest, PatternFault } from '../house/name-pattern.js';

/** One part of a path between slashes: a name as it is, a pattern of one, or any folders (`**`). */
type Part = string | NameTest | null;

/** Which assets a waiver is about, as whole paths from the root. */
export interface AssetPattern {
  readonly parts: readonly Part[];
  /** The one path it can fit; null when it has wildcards. */
  readonly only: string | null;
}

/** Letters of a pattern; paths that systems take are shorter. */
const LONGEST_PATTERN = 4096;

/**
 * Compiles a pattern of assets: names separated by `/`, relative to a folder, with `..` at its start
 * only. Letters must be alike in case. Throws PatternFault.
 *
 * @param folder Absolute path of the folder, with forward slashes.
 */
export function assetPattern(pattern: string, folder: string): AssetPattern {
  const names = namesOf(pattern);
  const parts: Part[] = partsOfPath(folder);
  for (const name of names) {
    if (name === '..') parts.pop();
    else if (name === '**') parts.push(null);
    else parts.push(literalOf(name) ?? nameTest(normal(name)));
  }
  // Folders are not assets: `**` at the end needs a name after it.
  if (parts.at(-1) === null) parts.push(() => true);
  const literal = parts.every((part) => typeof part === 'string');
  return { parts, only: literal ? parts.join('/') : null };
}

/** The same; calls `fail` with what is wrong instead of throwing PatternFault. */
export function assetPatternOr(
  pattern: string,
  folder: string,
  fail: (fault: string) => never,
): AssetPattern {
  try {
    return assetPattern(pattern, folder);
  } catch (error) {
    if (!(error instanceof PatternFault)) throw error;
    return fail(error.message);
  }
}

/**
 * The names of a pattern, `.` left out. Throws PatternFault.
 *
 * @param from What it has to be relative to, for people.
 */
export function namesOf(pattern: string, from = 'the folder of the file that it is in'): string[] {
  if (pattern.length > LONGEST_PATTERN)
    throw new PatternFault(`has ${pattern.length} letters (limit ${LONGEST_PATTERN})`);
  if (/^(\/|[A-Za-z]:\/)/.test(pattern))
    throw new PatternFault(`is an absolute path; write it relative to ${from}`);
  const names = pattern.split('/').filter((name) => name !== '.');
  if (names.length === 0 || names.includes(''))
    throw new PatternFault('has an empty name in it; write names with single slashes between them');
  const down = names.findIndex((name) => name !== '..');
  if (down === -1 || names.lastIndexOf('..') >= down)
    throw new PatternFault('has .. after a name; use .. only at its beginning');
  return names;
}

/** The name that a pattern without wildcards stands for; null when it has some. */
export function literalOf(pattern: string): string | null {
  const bare = pattern.replace(/\\[^\p{L}\p{N}]/gu, '');
  return /[*?[\]{}\\]/.test(bare) ? null : normal(pattern.replace(/\\(.)/gsu, '$1'));
}

/** Writes a name so that as a pattern it stands for itself alone. */
export function literalPattern(name: string): string {
  return name.replace(/[*?[\]{}\\]/g, '\\$&');
}

/** The names of an absolute path with forward slashes, from the root down. */
export function partsOfPath(path: string): string[] {
  return path
    .split('/')
    .filter((name) => name !== '')
    .map(normal);
}

/** Some systems list accents apart from their letters; people type them together. */
function normal(name: string): string {
  return name.normalize('NFC');
}

/** Whether the names of an absolute path fit, each tested a bounded number of times. */
export function fits({ parts }: AssetPattern, names: readonly string[]): boolean {
  let [part, name] = [0, 0];
  // Where to resume when what follows `**` does not fit: one folder further.
  let [runPart, runName] = [-1, 0];
  while (name < names.length) {
    const [test, given = ''] = [parts[part], names[name]];
    if (test === null) {
      [runPart, runName] = [part++, name];
    } else if (typeof test === 'function' ? test(given) : test === given) {
      part++;
      name++;
    } else if (runPart === -1) {
      return false;
    } else {
      part = runPart + 1;
      name = ++runName;
    }
  }
  return parts.slice(part).every((rest) => rest === null);
}

/** An absolute pattern, name by name, written relative to a folder (absolute, forward slashes). */
export function relativePattern(names: readonly string[], folder: string): string {
  const from = partsOfPath(folder);
  let shared = 0;
  while (shared < Math.min(from.length, names.length - 1)) {
    if (literalOf(names[shared] ?? '') !== from[shared]) break;
    shared++;
  }
  return [...from.slice(shared).map(() => '..'), ...names.slice(shared)].join('/');
}
