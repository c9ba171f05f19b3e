// Source: three.js (npm `three`) for where vertices and nodes stand before and after, see
// `skins-in-three.ts` and `worlds-in-three.ts`.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { type MendOptions, type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { tempFolder } from '../support/temp-folder.js';
import { BOLD } from './asked.js';
import { type RandomRig, randomGlb, randomRig } from './random-rig.js';
import { farthestSkin } from './skins-in-three.js';
import { farthestInThree } from './worlds-in-three.js';

/** What a mend may move, as three.js sees it. Share of the figure's reach. */
const SAME = 1e-5;

async function mend(
  folder: string,
  bytes: Uint8Array,
  options: MendOptions = {},
): Promise<MendResult> {
  const path = join(folder, 'rig.glb');
  writeFileSync(path, bytes);
  return mendAsset(path, defaultSettings(rules), REPAIRS, { also: BOLD, ...options });
}

/** Mends a rig and holds what comes out; gives back the rules that were mended. */
async function mendAndHold(
  folder: string,
  rig: RandomRig,
  options: MendOptions = {},
): Promise<Set<string>> {
  const bytes = randomGlb(rig);
  const result = await mend(folder, bytes, options);
  expect(result.before.unreadable).toBeNull();
  // Whatever it left alone: nothing that it changed is seen.
  expect(result.offending).toBeNull();
  const { main } = result.files;
  expect(await farthestSkin(bytes, main)).toBeLessThan(SAME);
  expect(await farthestInThree(bytes, main, (name) => name === 'lantern')).toBeLessThan(10 * SAME);
  const again = await mend(folder, main, options);
  expect(again.changes).toEqual([]);
  expect(Buffer.compare(again.files.main, main)).toBe(0);
  return new Set(result.changes.map(({ rule }) => rule));
}

describe('any tree, holder, scale, frame and clip', () => {
  test('is mended as far as nothing is seen of it, once and for all', async () => {
    const folder = tempFolder();
    const mended = new Set<string>();
    await fc.assert(
      fc.asyncProperty(randomRig, async (rig) => {
        for (const rule of await mendAndHold(folder, rig)) mended.add(rule);
      }),
      { numRuns: 40, seed: 20_261_125 },
    );
    // The rigs were such that there was something to mend.
    expect([...mended].sort()).toEqual(
      expect.arrayContaining(['rest.holder', 'scale.negative', 'scale.nonuniform', 'scale.unit']),
    );
  }, 120_000);
});

test('any rig that can be turned to another convention is turned once and for all', async () => {
  const folder = tempFolder();
  let turned = 0;
  await fc.assert(
    fc.asyncProperty(randomRig, async (rig) => {
      const convention = { aim: { index: 0, sign: 1 }, up: { index: 1, sign: -1 } } as const;
      const { isTurned, files, offending } = await mend(folder, randomGlb(rig), { convention });
      expect(offending).toBeNull();
      if (!isTurned) return;
      turned++;
      const again = await mend(folder, files.main, { convention });
      expect(Buffer.compare(again.files.main, files.main)).toBe(0);
    }),
    { numRuns: 25, seed: 77 },
  );
  expect(turned).toBeGreaterThan(3);
}, 120_000);
