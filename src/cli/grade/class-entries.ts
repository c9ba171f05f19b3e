import { lstatSync, readdirSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { AssetError, UsageError } from '../../asset/errors.js';
import { hashFile } from '../../asset/hash-file.js';
import { contentKey } from '../../batch/content-key.js';
import { chooseFinal } from '../../grade/handing-in/final-files.js';
import type { Entry } from '../../grade/list-entries.js';
import { digestOf } from '../../grade/older/mark-record.js';
import { readHouseBytes } from '../../house/house-file.js';
import { decodeTable } from '../../house/table-text.js';
import { slashes } from '../../report/slashes.js';
import type { SubmissionRules } from '../../standard/submission-rules.js';
import { type FoundAsset, findAssets } from '../paths/find-assets.js';

/** A submission and what of it is to be checked. */
export interface Submission {
  readonly name: string;
  readonly list: readonly FoundAsset[];
  /** Why there is nothing to check. */
  readonly reason: string | null;
  /** How many files of it are not marked, since others are the final ones. */
  readonly unmarked: number;
  /** Digest of all that is marked, whatever its names; null where it cannot be read. */
  readonly content: string | null;
  /** The newest time of change of what is marked; null where nobody knows. */
  readonly handedIn: Date | null;
}

const UNSEARCHED = 'its path has a backslash and cannot be searched; give the folder another name';

/** Bytes of a text file in which a student names the final file. */
const LONGEST_NAMED = 1 << 14;

/** Assets are called by their path in the class's folder, which is what a student knows. */
export async function openEntry(
  entry: Entry,
  from: string,
  rules: SubmissionRules | null,
): Promise<Submission> {
  const { name } = entry;
  const none = (reason: string): Submission => ({ ...NOTHING, name, reason });
  if (entry.kind === 'other') return none(entry.reason);
  const path = join(from, name);
  if (entry.kind === 'asset') return opened(name, [{ kind: 'file', path, shown: name }], 0);
  // The search takes a backslash for a slash, wherever it runs: it would look into another's folder.
  if (process.platform !== 'win32' && path.includes('\\')) return none(UNSEARCHED);
  const found = await findAssets([path], from);
  const list = found.map((asset): FoundAsset => {
    const inside = relative(from, asset.kind === 'file' ? asset.path : resolve(from, asset.shown));
    return { ...asset, shown: slashes(inside) };
  });
  const [only] = list;
  // An empty folder is no asset that could not be read.
  if (list.length === 1 && only?.kind === 'nothing' && only.shown === name)
    return none(only.reason);
  if (rules === null) return opened(name, list, 0);
  const text = rules.named === null ? null : namedText(path, rules.named);
  if (typeof text === 'object' && text !== null) return none(text.reason);
  const paths = list.map(({ shown }) => shown.slice(name.length + 1));
  const chosen = chooseFinal(paths, text, rules);
  if (chosen.kind === 'none') return none(chosen.reason);
  const final = chosen.at.flatMap((at) => list[at] ?? []);
  return opened(name, final, list.length - final.length);
}

const NOTHING = { list: [], unmarked: 0, content: null, handedIn: null };

/** What a student's text file says, whose name may have other cases; null where there is none. */
function namedText(folder: string, named: string): string | null | { readonly reason: string } {
  const isNamed = (name: string): boolean => name.toLowerCase() === named.toLowerCase();
  const names = readdirSync(folder).filter(isNamed);
  if (names.length > 1) return { reason: `it has ${names.join(' and ')}; leave one of them` };
  const path = join(folder, names[0] ?? named);
  const stats = lstatSync(path, { throwIfNoEntry: false });
  if (stats === undefined) return null;
  // A link could lead into another submission.
  if (!stats.isFile()) return { reason: `its ${named} is not a file` };
  try {
    // Editors on Windows write other letters than UTF-8 too.
    const what = `its ${named}`;
    return decodeTable(readHouseBytes(path, what, LONGEST_NAMED), what, 'plain text').text;
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    return { reason: error.message };
  }
}

async function opened(
  name: string,
  list: readonly FoundAsset[],
  unmarked: number,
): Promise<Submission> {
  const contents: (string | null)[] = [];
  let newest = 0;
  for (const asset of list) {
    if (asset.kind !== 'file') {
      contents.push(null);
      continue;
    }
    const key = await contentKey(asset.path);
    contents.push(key?.all ?? hashOf(asset.path));
    const files = [asset.path, ...(key?.files ?? []).map(({ path }) => path)];
    for (const file of files)
      newest = Math.max(newest, lstatSync(file, { throwIfNoEntry: false })?.mtimeMs ?? 0);
  }
  const known = contents.filter((content) => content !== null);
  const isWhole = list.length > 0 && known.length === contents.length;
  return {
    name,
    list,
    reason: null,
    unmarked,
    content: isWhole ? digestOf(known) : null,
    handedIn: newest > 0 ? new Date(newest) : null,
  };
}

/** A file that is no asset can still be the same as before. */
function hashOf(path: string): string | null {
  try {
    return hashFile(path);
  } catch (error) {
    if (error instanceof AssetError) return null;
    throw error;
  }
}
