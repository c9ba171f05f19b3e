import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings } from '../../src/check/settings.js';
import type { Scene } from '../../src/draw/scene-types.js';
import { packScene } from '../../src/page/pack.js';
import type { PageData } from '../../src/page/page-data.js';
import type { Report } from '../../src/report/report-types.js';

/** One asset as its page carries it, and the scene it was packed from. */
export interface PageSource {
  readonly data: PageData;
  readonly report: Report;
  readonly scene: Scene;
}

/** Checks an asset at the defaults and packs it for a page. */
export async function makePageData(bytes: Uint8Array, name = 'puppet.glb'): Promise<PageSource> {
  const settings = defaultSettings(rules);
  let scene: Scene = { rigs: [] };
  const onScene = (read: Scene): void => {
    scene = read;
  };
  const asset = await checkAssetBytes(bytes, { settings, name, onScene });
  return { data: await packScene(scene), report: makeReport([asset], settings), scene };
}
