import { dirname, join, relative } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import type { ApprovedTask } from '../../batch/approved-task.js';
import { slashes } from '../../report/slashes.js';
import { visible } from '../../report/visible.js';
import { tellsCases } from '../output/tells-cases.js';
import type { FoundAsset } from '../paths/find-assets.js';
import { realOf } from '../paths/real-of.js';
import { bytesOf } from './asset-bytes.js';
import { Claims } from './claims.js';
import { type Companion, companionsOf } from './companions.js';
import type { MendFlags } from './mend-flags.js';
import { type MendPlace, placeOver, reservedBy } from './mend-place.js';
import { namedFiles } from './named-files.js';
import type { OutDir } from './out-dir.js';

/** Where an asset goes, or why it can go nowhere. */
export type Planned =
  | {
      readonly place: MendPlace;
      /** As `assetBytes`; absent where nobody has looked yet. */
      readonly bytes?: number;
    }
  | { readonly why: string };

export type FoundFile = Extract<FoundAsset, { kind: 'file' }>;

/** Assets that are mended over themselves, by their paths: of two that are one file, the first alone. */
export function planOver(files: readonly FoundFile[], cwd: string): Map<string, Planned> {
  const first = new Map<string, string>();
  const planned = ({ path, shown }: FoundFile): Planned => {
    const real = realOf(path);
    const other = first.get(real);
    if (other !== undefined)
      return { why: `it is the same file as ${visible(other)}, which is mended` };
    first.set(real, shown);
    try {
      return { place: placeOver(path, shown, cwd) };
    } catch (error) {
      if (!(error instanceof UsageError)) throw error;
      return { why: error.message };
    }
  };
  return new Map(files.map((file) => [file.path, planned(file)]));
}

/** An asset with the files that go along, and the place that it is to have. */
interface Destined extends FoundFile {
  /** Its place below the folder that was searched. */
  readonly name: string;
  readonly taken: readonly Companion[];
  readonly target: string;
}

/**
 * Where each asset goes in a folder, by its path: its place below what was searched is kept. What would
 * be written to one place from two files is written from none, and nothing is written over what is read.
 *
 * @param approved The assets that some of them are compared with.
 */
export async function planInto(
  out: OutDir,
  files: readonly FoundFile[],
  approved: readonly ApprovedTask[],
  rootOf: (path: string) => string,
  flags: MendFlags,
  cwd: string,
): Promise<Map<string, Planned>> {
  const { replace = false, sound = 'leave' } = flags;
  const reserved = reservedBy(flags, cwd);
  const assets: Destined[] = [];
  // One after the other: a library of thousands would have too many files open at once.
  for (const file of files) {
    const { path } = file;
    const name = relative(rootOf(path), path);
    const { taken } = companionsOf(await namedFiles(path), dirname(path));
    assets.push({ ...file, name, taken, target: join(out.path, name) });
  }
  const claims = new Claims(() => tellsCases(out.path));
  // What others are held to is read throughout the run.
  for (const { path, name } of approved) {
    const { taken } = companionsOf(await namedFiles(path), dirname(path));
    for (const from of [realOf(path), ...taken.map((one) => one.from)]) claims.keep(from, name);
  }
  const users = new Map<string, number>();
  for (const { path, shown, target, taken } of assets) {
    claims.add(target, realOf(path), shown);
    for (const { from, name } of taken) {
      claims.add(join(dirname(target), name), from, shown);
      users.set(from, (users.get(from) ?? 0) + 1);
    }
  }
  const planned = ({ path, name, taken, target }: Destined): Planned => {
    const targets = [target, ...taken.map((one) => join(dirname(target), one.name))];
    const why = targets.map((one) => claims.whyNot(one, cwd)).find((one) => one !== null);
    if (why != null) return { why };
    const shared = taken.filter(({ from }) => (users.get(from) ?? 0) > 1).map(({ from }) => from);
    const place: MendPlace = {
      way: 'folder',
      target,
      shown: slashes(join(out.shown, name)),
      replace,
      sound,
      // Two assets that change a buffer which they share would make two of one name.
      stem: shared.length === 0 ? null : claims.freeStem(target),
      shared,
      reserved,
    };
    return { place, bytes: bytesOf(path, taken) };
  };
  return new Map(assets.map((asset) => [asset.path, planned(asset)]));
}
