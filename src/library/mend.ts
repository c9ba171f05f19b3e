import type { Settings } from '../check/settings.js';
import type { MendOptions, MendResult } from '../mend/mend-asset.js';
import { standardSettings } from './check.js';

/**
 * Mends in memory what can be mended exactly in one asset, and proves that nothing is seen of it. Write
 * `result.files` only where `result.offending` is null. Throws AssetError when the asset cannot be read,
 * or has data that a mend would break.
 */
export async function mendRig(
  path: string,
  {
    settings = standardSettings(),
    ...options
  }: MendOptions & { readonly settings?: Settings } = {},
): Promise<MendResult> {
  // Most programs only check.
  const { mendAsset } = await import('../mend/mend-asset.js');
  const { REPAIRS } = await import('../mend/repairs.js');
  return mendAsset(path, settings, REPAIRS, { name: path, ...options });
}
