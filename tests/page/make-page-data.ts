import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings, limitsOfAll } from '../../src/check/settings.js';
import { makeScene } from '../../src/draw/make-scene.js';
import type { Scene } from '../../src/draw/scene.js';
import { packScene } from '../../src/page/pack.js';
import type { PageData } from '../../src/page/page-data.js';
import type { Report } from '../../src/report/report-types.js';
import type { ApprovedAsset, RigModel } from '../../src/rig/types.js';

/** One asset as its page carries it, and the scene it was packed from. */
export interface PageSource {
  readonly data: PageData;
  readonly report: Report;
  readonly scene: Scene;
}

/** Checks an asset at the defaults, compared with an approved one or with none, and packs it for a page. */
export async function makePageData(
  bytes: Uint8Array,
  name = 'puppet.glb',
  approved: ApprovedAsset | null = null,
): Promise<PageSource> {
  const settings = defaultSettings(rules);
  let scene: Scene = { rigs: [] };
  const onModel = (model: RigModel): void => {
    scene = makeScene(model, settings.wanted, approved, limitsOfAll(settings));
  };
  const asset = await checkAssetBytes(bytes, { settings, name, approved, onModel });
  return { data: await packScene(scene), report: makeReport([asset], settings), scene };
}
