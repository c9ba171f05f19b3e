import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { tellStory } from '../../src/cli/mend/mend-story.js';
import type { MendStory } from '../../src/draw/mended/mend-story.js';
import { type MendOptions, type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { REPAIRS } from '../../src/mend/repairs.js';

/** A mend at the defaults, and what is shown of it. */
export async function storyOf(
  bytes: Uint8Array,
  options: MendOptions = {},
): Promise<{ result: MendResult; story: MendStory }> {
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-'));
  const path = join(folder, 'puppet.glb');
  try {
    writeFileSync(path, bytes);
    const settings = defaultSettings(rules);
    const result = await mendAsset(path, settings, REPAIRS, { name: 'puppet.glb', ...options });
    return { result, story: await tellStory(path, result, settings, 'puppet-mended.glb') };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
