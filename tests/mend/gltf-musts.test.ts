// Source: Khronos glTF 2.0 Specification, its sections and sentences as `tests/support/gltf-musts`
// tells them. That a mended file keeps to them is read from its bytes by code of the tests' own.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, test } from 'vitest';
import { build } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faults } from '../../fixtures/faults/index.js';
import type { BuildOptions, Built } from '../../fixtures/kit/options.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { type MendOptions, type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { BREAKS, storageFor } from '../support/gltf-musts/breaks.js';
import { everything } from '../support/gltf-musts/everything.js';
import { readWhole } from '../support/gltf-musts/whole-file.js';
import { breachesOf, MUSTS } from '../support/gltf-musts.js';
import { tempFolder } from '../support/temp-folder.js';
import { BOLD } from './asked.js';
import { KEPT } from './kept-breaches.js';

describe('each must', () => {
  it('is told from all others, with the section and what is said there', () => {
    expect(new Set(MUSTS.map(({ id }) => id)).size).toBe(MUSTS.length);
    for (const { section, says } of MUSTS) {
      expect(section).toMatch(/^\d+(\.\d+)+(, \d+(\.\d+)+)*$/);
      expect(says).toMatch(/\w{3}.*[.)]$/);
    }
  });

  it('has a file that breaks it', () => {
    expect(BREAKS.map(([must]) => must)).toEqual(MUSTS.map(({ id }) => id));
  });

  it.each<BuildOptions>([{}, { weights: 'u8' }, { positions: 'quantised' }])(
    'is kept by the file with everything in it, stored as %j',
    (options) => {
      expect([...breachesOf(readWhole(everything(options).pack()))]).toEqual([]);
    },
  );

  test.each(BREAKS)('%s is broken by one change, and it alone', (must, change) => {
    const file = everything(storageFor(must));
    const bytes = change(file) ?? file.pack();
    expect([...breachesOf(readWhole(bytes)).keys()]).toEqual([must]);
  });
});

const settings = defaultSettings(rules);

/** Mends what was built, and asks the musts of what is to be written. */
async function mended(
  built: Built,
  options: MendOptions = {},
): Promise<{ result: MendResult; broken: string[] }> {
  const folder = tempFolder(Object.fromEntries(built.files));
  const result = await mendAsset(join(folder, built.main), settings, REPAIRS, {
    also: BOLD,
    ...options,
  });
  const beside = (name: string): Uint8Array =>
    result.files.buffers.get(name) ?? readFileSync(join(folder, name));
  const places = breachesOf(readWhole(result.files.main, beside));
  return { result, broken: [...places.keys()] };
}

const STORAGES: readonly BuildOptions[] = [
  {},
  { weights: 'u8', positions: 'quantised' },
  { weights: 'u16', positions: 'quantised-node', unitScale: 100 },
  { container: 'gltf-embedded', weights: 'u8' },
  { container: 'gltf-external', weights: 'u16' },
];

const CONVENTION = {
  aim: { index: 0, sign: 1 },
  up: { index: 1, sign: 1 },
} as const;

describe.each(castNames)('the %s turned to another convention', (name) => {
  test.each(STORAGES)('and stored as %j keeps to all of them', async (options) => {
    const { result, broken } = await mended(build(name, options), {
      convention: CONVENTION,
      stem: 'mended puppet',
    });
    expect(broken).toEqual([]);
    expect(result.offending).toBeNull();
    expect(result.changes.length).toBeGreaterThan(0);
    expect(result.files.buffers.size).toBe(options.container === 'gltf-external' ? 1 : 0);
  });
});

describe('a file with everything in it keeps to all of them', () => {
  const stored = (options: BuildOptions): Built => {
    const [main, file] = ['heron.glb', everything(options)];
    file.giveBounds();
    return { main, files: new Map([[main, file.pack()]]) };
  };

  test.each<BuildOptions>([{}, { weights: 'u8' }, { weights: 'u16', positions: 'quantised' }])(
    'turned to another convention, stored as %j',
    async (options) => {
      const { result, broken } = await mended(stored(options), { convention: CONVENTION });
      expect(broken).toEqual([]);
      expect(result.changes.map(({ rule }) => rule)).toContain('axis.uniform');
    },
  );

  // The first of each rule, since a rule is mended in one way; all faults, each in a plain file, are held
  // to the same musts by `every-fault.test.ts`.
  const herons = faults.filter(({ puppet }) => puppet === 'heron');
  const firsts = herons.filter(
    (fault) => herons.find(({ rule }) => rule === fault.rule) === fault || fault.name in KEPT,
  );
  test.each(firsts.map((fault) => [fault.name, fault] as const))('with %s', async (name, fault) => {
    const options = { faults: [fault], weights: fault.weights ?? 'u16' } as const;
    const { broken } = await mended(stored(options));
    const stays = KEPT[name] ?? [];
    expect(broken).toEqual(
      stays.map((must) => (fault.weights === undefined ? STORED_ALIKE[must] : undefined) ?? must),
    );
  });
});

/** What a fault of float weights breaks where they are stored as integers. */
const STORED_ALIKE: Readonly<Record<string, string>> = { 'weight-sum-float': 'weight-sum-stored' };
