import { AssetError } from '../asset/errors.js';
import type { GltfJson } from './json/gltf-json.js';

/** How far a repair changed what is seen, as the user allowed. */
export interface AllowedChange {
  readonly rules: readonly string[];
  /** Largest distance that a vertex moved, in percent of the rig's size. */
  readonly percentOfSize: number;
  /** Largest angle that a normal or a tangent turned by. */
  readonly degrees: number;
}

/**
 * Records in the file's extras (glTF 2.0, 3.3: application-specific data), after what earlier mends
 * recorded, that it no longer looks as it did. Throws AssetError where there is no room for it.
 */
export function recordAllowed(json: GltfJson, allowed: readonly AllowedChange[]): void {
  json.asset ??= {};
  const { extras = {} } = json.asset;
  if (!isTable(extras))
    throw new AssetError(
      'its extras are not an object, so the change that was allowed cannot be recorded there',
      '/asset/extras',
    );
  const ours = isTable(extras.trysquare) ? extras.trysquare : {};
  const earlier: readonly unknown[] = Array.isArray(ours.allowedChanges) ? ours.allowedChanges : [];
  const trysquare = { ...ours, allowedChanges: [...earlier, ...allowed] };
  json.asset.extras = { ...extras, trysquare };
}

function isTable(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
