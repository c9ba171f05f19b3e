import { clipAccessors } from '../asset/clip-accessors.js';
import { AssetError } from '../asset/errors.js';
import { type Guard, NO_GUARD } from '../asset/guard.js';
import { loadAssetFile } from '../asset/load-asset.js';
import { buildRigs } from '../rig/build-rigs.js';
import type { ApprovedAsset, ClipSource, RigModel } from '../rig/types.js';

/** A file, and the name that people know it by. */
export interface NamedFile {
  readonly path: string;
  readonly name: string;
}

/** Which asset others have to fit, and more files with clips that were made for it. */
export interface ApprovedFiles extends NamedFile {
  readonly clips: readonly NamedFile[];
  /** Whether others are asked for their clips alone, and a rig in them is not compared. */
  readonly clipsAlone?: boolean;
  /** What messages call it, where that is not `the approved asset`. */
  readonly called?: string;
}

/** Reads an approved asset with its clips. Throws AssetError, naming the file, when one cannot be read. */
export async function loadApproved(
  { clips, clipsAlone = false, called = 'the approved asset', ...file }: ApprovedFiles,
  guard: Guard = NO_GUARD,
): Promise<ApprovedAsset> {
  const model = await load(called, file, guard);
  const sources: ClipSource[] = [{ name: file.name, ...model }];
  for (const library of clips)
    sources.push({ name: library.name, ...(await load('the file of clips', library, guard)) });
  return {
    name: file.name,
    model,
    clips: sources.filter((source) => source.clips.length > 0),
    ...(clipsAlone && { clipsAlone }),
  };
}

async function load(what: string, { path, name }: NamedFile, guard: Guard): Promise<RigModel> {
  try {
    const asset = await loadAssetFile(path, guard, clipAccessors);
    return guard.run(() => buildRigs(asset));
  } catch (error) {
    if (!(error instanceof AssetError)) throw error;
    throw new AssetError(`${what} ${name} cannot be read: ${error.reason}`, error.where);
  }
}
