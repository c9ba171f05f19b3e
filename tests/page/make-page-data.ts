import { createHash } from 'node:crypto';
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

/** What was packed with nothing approved, by the bytes: most tests of a file open the same puppet. */
const known = new Map<string, Promise<PageSource>>();

/**
 * Checks an asset at the defaults, compared with an approved one or with none, and packs it for a page.
 * What it gives is shared: whoever wants it otherwise makes a copy.
 */
export function makePageData(
  bytes: Uint8Array,
  name = 'puppet.glb',
  approved: ApprovedAsset | null = null,
): Promise<PageSource> {
  if (approved !== null) return pack(bytes, name, approved);
  const key = `${name} ${createHash('sha256').update(bytes).digest('base64')}`;
  const source = known.get(key) ?? pack(bytes, name, null);
  known.set(key, source);
  return source;
}

async function pack(
  bytes: Uint8Array,
  name: string,
  approved: ApprovedAsset | null,
): Promise<PageSource> {
  const settings = defaultSettings(rules);
  let scene: Scene = { rigs: [] };
  const onModel = (model: RigModel): void => {
    scene = makeScene(model, settings.wanted, approved, limitsOfAll(settings));
  };
  const asset = await checkAssetBytes(bytes, { settings, name, approved, onModel });
  return { data: await packScene(scene), report: makeReport([asset], settings), scene };
}
