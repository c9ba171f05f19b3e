import { drawPictures } from '../draw/pictures.js';
import type { Scene } from '../draw/scene.js';
import type { AssetPictures } from '../report/asset-pictures.js';
import type { AssetReport } from '../report/report-types.js';
import { packScene } from './pack.js';

/** Draws an asset and packs it for the page's viewer. */
export async function picturesOf(scene: Scene, asset: AssetReport): Promise<AssetPictures> {
  const told = asset.findings.map(({ message }) => message).join(' ');
  return { ...drawPictures(scene, asset), data: JSON.stringify(await packScene(scene, told)) };
}
