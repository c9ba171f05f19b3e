import { checkAsset } from '../../src/check/check-asset.js';
import type { Scene } from '../../src/draw/scene-types.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { faultsOf } from './report-faults.js';
import type { Stepped, Subject } from './step.js';

/** An asset with what pictures are drawn from; null for one that could not be read. */
export async function drawnAsset({
  mutant,
  path,
  settings,
}: Subject): Promise<{ asset: AssetReport; scene: Scene | null }> {
  const scenes: Scene[] = [];
  const asset = await checkAsset(path, {
    settings,
    name: `mutant.${mutant.ending}`,
    onScene: (scene) => void scenes.push(scene),
  });
  return { asset, scene: asset.unreadable === null ? (scenes[0] ?? null) : null };
}

/** What comes of an asset that cannot be drawn. */
export function notDrawn(asset: AssetReport): Stepped {
  const nothing = asset.unreadable === null ? ['is read, but gives nothing to draw'] : [];
  return { outcome: 'unreadable', faults: [...nothing, ...faultsOf(asset)] };
}
