import { clipAccessors } from '../../src/asset/clip-accessors.js';
import { loadAssetBytes } from '../../src/asset/load-asset.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import type { ApprovedAsset, RigModel } from '../../src/rig/types.js';

/** An asset in memory as others are compared with it, with clips of more files where they are given. */
export async function approvedOf(
  bytes: Uint8Array,
  library: Readonly<Record<string, Uint8Array>> = {},
): Promise<ApprovedAsset> {
  const model = await readWithClips(bytes);
  const clips = [{ name: APPROVED_NAME, nodes: model.nodes, clips: model.clips }];
  for (const [name, file] of Object.entries(library)) {
    const other = await readWithClips(file);
    clips.push({ name, nodes: other.nodes, clips: other.clips });
  }
  return { name: APPROVED_NAME, model, clips };
}

export const APPROVED_NAME = 'approved/puppet.glb';

async function readWithClips(bytes: Uint8Array): Promise<RigModel> {
  return buildRigs(await loadAssetBytes(bytes, null, clipAccessors));
}
