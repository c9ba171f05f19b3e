import { type Guard, NO_GUARD } from '../asset/guard.js';
import { drawPictures } from '../draw/pictures.js';
import type { Scene } from '../draw/scene.js';
import type { AssetPictures } from '../report/asset-pictures.js';
import type { AssetReport } from '../report/report-types.js';
import { packScene } from './pack.js';

/** Draws an asset and packs it for the page's viewer. Throws AssetError where the guard does. */
export async function picturesOf(
  scene: Scene,
  asset: AssetReport,
  guard: Guard = NO_GUARD,
  withViews = false,
): Promise<AssetPictures> {
  const messages = asset.findings.map(({ message }) => message).join(' ');
  const pictures = guard.run(() => drawPictures(scene, asset, withViews));
  return { ...pictures, data: JSON.stringify(await packScene(scene, messages)) };
}
