import { join } from 'node:path';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { type MendOptions, type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import type { ApprovedAsset } from '../../src/rig/types.js';
import { tempFolder } from '../support/temp-folder.js';

/** The rules whose mends `--like` asks for. */
export const LIKE = ['fit.frame', 'fit.missing'];

/** Mends a GLB beside an approved asset, and makes it like that unless other options are given. */
export function mendedLike(
  bytes: Uint8Array,
  approved: ApprovedAsset | null,
  options: MendOptions = { also: LIKE },
): Promise<MendResult> {
  const path = join(tempFolder({ 'rig.glb': bytes }), 'rig.glb');
  return mendAsset(path, defaultSettings(rules), REPAIRS, { ...options, approved });
}

/** Rule and path of all findings against the approved asset. */
export function fitFindings({ findings }: MendResult['after']): string[] {
  return findings
    .filter(({ rule }) => rule.startsWith('fit.'))
    .map(({ rule, place }) => `${rule} ${place.path}`);
}
