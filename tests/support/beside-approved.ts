import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings, type Settings } from '../../src/check/settings.js';
import type { Facts } from '../../src/measure/facts.js';
import type { AssetReport } from '../../src/report/report-types.js';
import type { ApprovedAsset } from '../../src/rig/types.js';
import { approvedOf } from './check-built.js';
import { rigOf } from './facts-of.js';

/** A puppet of the cast, changed and stored. */
export function changed(
  cast: CastName,
  change: (puppet: Puppet) => void = () => {},
  options: BuildOptions = {},
): Uint8Array {
  const puppet = raisePuppet(cast, options);
  change(puppet);
  return mainFile(buildPuppet(puppet, options));
}

/** What every measure of a rig is taken from beside the approved one; both files hold one rig. */
export async function factsBeside(bytes: Uint8Array, asset: ApprovedAsset): Promise<Facts> {
  const [rig = null] = asset.model.rigs;
  const approved = { asset, rig, by: null, unanswered: [] };
  return { rig: await rigOf(bytes), wanted: { aim: null, up: null }, approved };
}

/** The sound puppet as the approved asset, with the clips of other files as a library. */
export async function soundAsset(cast: CastName, ...library: Uint8Array[]): Promise<ApprovedAsset> {
  const own = await approvedOf(buildGlb(cast), `${cast}.glb`);
  const more = await Promise.all(
    library.map((bytes, index) => approvedOf(bytes, `library-${index + 1}.glb`)),
  );
  return { ...own, clips: [own, ...more].flatMap(({ clips }) => clips) };
}

/** Checks a file beside an approved asset, with some settings changed. */
export async function checkBeside(
  bytes: Uint8Array,
  approved: ApprovedAsset,
  change: Partial<Settings> = {},
): Promise<AssetReport> {
  const settings = { ...defaultSettings(rules), ...change };
  const report = await checkAssetBytes(bytes, { settings, approved, name: 'candidate.glb' });
  if (report.unreadable !== null) throw new Error(report.unreadable.reason);
  return report;
}
