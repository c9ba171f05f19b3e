import type { AssetReport, RigReport } from './report-types.js';

/** The report of an asset for a format that does not have transforms and clips. */
export function withoutTransforms(asset: AssetReport): AssetReport {
  const has = asset.rigs.some(({ clipList }) => clipList !== undefined);
  return has ? { ...asset, rigs: asset.rigs.map(plainRig) } : asset;
}

function plainRig({ clipList: _, ...rig }: RigReport): RigReport {
  return { ...rig, joints: rig.joints.map(({ transforms: __, ...joint }) => joint) };
}
