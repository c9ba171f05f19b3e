import { notCarried } from '../../src/mend/carry/carry-extensions.js';
import type { Frames } from '../../src/mend/carry/carry-plan.js';
import type { GltfJson } from '../../src/mend/json/gltf-json.js';

/** Why a change of frames cannot be carried by all extensions; null when it can. */
export function whyNotCarried(json: GltfJson, frames: Frames): string | null {
  return notCarried(json, frames)[0]?.why ?? null;
}
