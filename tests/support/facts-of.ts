import { loadAssetBytes } from '../../src/asset/load-asset.js';
import type { Facts, WantedOfRig } from '../../src/measure/facts.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import type { Rig, RigModel } from '../../src/rig/types.js';

export async function modelOf(bytes: Uint8Array): Promise<RigModel> {
  return buildRigs(await loadAssetBytes(bytes));
}

/** The only rig of an asset. Throws when there is not exactly one. */
export async function rigOf(bytes: Uint8Array): Promise<Rig> {
  const { rigs } = await modelOf(bytes);
  const [rig] = rigs;
  if (rig === undefined || rigs.length !== 1) throw new Error(`${rigs.length} rigs, not one`);
  return rig;
}

/** What every measure is taken from, for the only rig of an asset. */
export async function factsOf(
  bytes: Uint8Array,
  wanted: WantedOfRig = { aim: null, up: null },
): Promise<Facts> {
  return { rig: await rigOf(bytes), wanted };
}
