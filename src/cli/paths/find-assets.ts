import { type Stats, statSync } from 'node:fs';
import { extname, relative, resolve } from 'node:path';
import { explain } from '../../asset/byte-source.js';
import { GARBLED, isGarbled } from '../../asset/garbled-name.js';
import { byPath } from '../../batch/path-order.js';
import { slashes } from '../../report/slashes.js';
import { type LeftOut, type LeftOutOf, leavesOut, leavesOutWithin } from './left-out.js';
import { linkEnd } from './link-end.js';
import { type Hit, type SearchOptions, searchTree } from './search-tree.js';

/** One thing to check: an asset, or a path at which none was found. */
export type FoundAsset =
  | { readonly kind: 'file'; readonly path: string; readonly shown: string }
  | { readonly kind: 'stdin'; readonly shown: string }
  | { readonly kind: 'nothing'; readonly shown: string; readonly reason: string };

const ENDINGS = ['glb', 'gltf', 'vrm'];
const ASSETS = `**/*.{${ENDINGS.join(',')}}`;

/** Whether files with this ending, in lower case, are taken for assets. */
export function isAssetEnding(ending: string): boolean {
  return ENDINGS.includes(ending);
}

/** Whether a file is taken for an asset by its name. */
export function isAssetName(name: string): boolean {
  return isAssetEnding(extname(name).slice(1).toLowerCase());
}

/** Whether a path at which nothing lies is to be expanded. */
export function isPattern(path: string): boolean {
  return /[*?[\]{}!()]/.test(path);
}

/**
 * The assets behind the paths given: files as they are, folders searched to the bottom, patterns
 * expanded, `-` for standard input. Each file once, in path order whatever the order on disk. A link to
 * a file within what is searched is an asset of its own; what lies behind a link to a folder is one
 * only where it is not found without.
 *
 * @param without What a search leaves out; a file that is named itself is not searched for.
 * @param of What else it leaves out, folder by folder.
 */
export async function findAssets(
  paths: readonly string[],
  cwd: string,
  without: readonly LeftOut[] = [],
  of: LeftOutOf = () => [],
): Promise<FoundAsset[]> {
  const leftOutBy = await leavesOut(without);
  const isLeftOut = (path: string): boolean => leftOutBy(path) !== null;
  let inside: readonly string[] | null = null;
  const options: SearchOptions = {
    // Looked up by a search alone: paths can be thousands of files.
    inside: () => {
      inside ??= paths
        .filter((path) => path !== '-')
        .map((path) => linkEnd(resolve(cwd, path)))
        .flatMap((end) => (end.kind === 'folder' ? [end.real] : []));
      return inside;
    },
    leavesOut: isLeftOut,
  };
  const found = new Map<string, FoundAsset>();
  const places = new Set<string>();
  const take = ({ asset, place }: Candidate): void => {
    const { kind, shown } = asset;
    const key = kind === 'file' ? asset.path : `${kind} ${shown}`;
    // A name whose bytes are no UTF-8 is read as another name, under which nothing lies.
    const isLost = kind === 'file' && isGarbled(asset.path);
    if (!found.has(key))
      found.set(key, isLost ? { kind: 'nothing', shown, reason: GARBLED } : asset);
    if (place !== null) places.add(place);
  };
  const detours: Candidate[] = [];
  for (const path of paths) {
    const hits = await expand(path, cwd, options);
    // A file that is named itself is never left out.
    const full = resolve(cwd, path);
    const isNamed = hits.every(({ asset }) => asset.kind === 'file' && asset.path === full);
    const within = leavesOutWithin(of);
    const root = isFolder(full) ? full : cwd;
    const wanted: Candidate[] = [];
    let by: string | null = null;
    for (const candidate of hits) {
      const { asset } = candidate;
      const isSearched = !isNamed && asset.kind !== 'stdin';
      const place = asset.kind === 'file' ? asset.path : resolve(cwd, asset.shown);
      const who = isSearched ? (leftOutBy(place) ?? (await within(place, root))) : null;
      if (who === null) wanted.push(candidate);
      else by ??= who;
    }
    // Where all was left out, the user learns as much as where nothing was found.
    if (by !== null && wanted.length === 0)
      take(nothing(path, `no asset is left: ${by} leaves out all that was found`));
    for (const candidate of wanted)
      if (candidate.viaLink) detours.push(candidate);
      else take(candidate);
  }
  detours.sort((a, b) => byPath(a.asset.shown, b.asset.shown));
  for (const candidate of detours)
    if (candidate.place === null || !places.has(candidate.place)) take(candidate);
  return [...found.values()].sort((a, b) => byPath(a.shown, b.shown));
}

/** Something found, before it is known whether it is found twice. */
interface Candidate {
  readonly asset: FoundAsset;
  /** Where it lies, whatever links lead there; null for what was named. */
  readonly place: string | null;
  /** Whether it gives way to what was found in the same place without a link. */
  readonly viaLink: boolean;
}

function named(asset: FoundAsset): Candidate {
  return { asset, place: null, viaLink: false };
}

function nothing(path: string, reason: string): Candidate {
  return named({ kind: 'nothing', shown: slashes(path), reason });
}

function isFolder(path: string): boolean {
  try {
    return statSync(path, { throwIfNoEntry: false })?.isDirectory() === true;
  } catch {
    // Looking for assets there has said why.
    return false;
  }
}

async function expand(path: string, cwd: string, options: SearchOptions): Promise<Candidate[]> {
  if (path === '-') return [named({ kind: 'stdin', shown: '-' })];
  const full = resolve(cwd, path);
  let stats: Stats | undefined;
  try {
    stats = statSync(full, { throwIfNoEntry: false });
  } catch (error) {
    return [nothing(path, explain(error))];
  }
  const isFolder = stats?.isDirectory() === true;
  if (!isFolder && (stats !== undefined || !isPattern(path)))
    return [named({ kind: 'file', path: full, shown: slashes(path) })];
  const hits = isFolder
    ? await searchTree(ASSETS, full, { ...options, isWanted: isAssetName })
    : await searchTree(slashes(path), cwd, options);
  if (hits.length > 0) return hits.map((hit) => candidate(hit, cwd, path));
  const what = isFolder
    ? 'the folder has no .glb, .gltf or .vrm file'
    : 'no file matches this pattern';
  return [nothing(path, what)];
}

/** What fits a pattern, in no order: files, and anything else with the reason why it is none. */
export async function filesFitting(pattern: string, cwd: string): Promise<FoundAsset[]> {
  const options = { inside: () => [], leavesOut: () => false };
  const hits = await searchTree(slashes(pattern), cwd, options);
  return hits.map((hit) => candidate(hit, cwd, pattern).asset);
}

/** Shown as it would be typed from here; absolute only when it was given so. */
function candidate({ path, reason, place, viaLink }: Hit, cwd: string, given: string): Candidate {
  const shown = slashes(resolve(given) === given ? path : relative(cwd, path));
  const asset: FoundAsset =
    reason === null ? { kind: 'file', path, shown } : { kind: 'nothing', shown, reason };
  return { asset, place, viaLink };
}
