import { NO_GUARD } from '../../asset/guard.js';
import { type Asset, loadAssetBytes } from '../../asset/load-asset.js';
import type { Files } from '../file/pack-files.js';
import { lookAccessors } from './looks.js';

/** Opens what an edit gives, as a check would. External buffers that did not change come from `folder`. */
export function reload({ main, buffers }: Files, folder: string | null): Promise<Asset> {
  return loadAssetBytes(main, folder, lookAccessors, NO_GUARD, buffers);
}
