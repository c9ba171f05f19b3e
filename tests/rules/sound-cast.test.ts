import { describe, expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import { aimedConventions, tell, worldAligned } from '../fixtures/conventions.js';
import { checkBuilt, told } from '../support/check-built.js';

const storages: readonly BuildOptions[] = [
  { unitScale: 100 },
  { unitScale: 0.01 },
  { weights: 'u8' },
  { weights: 'u16' },
  { positions: 'quantised' },
  { sideNaming: 'prefix' },
  { sideNaming: 'word' },
  { container: 'gltf-embedded' },
];

describe.each(castNames)('the sound %s', (name) => {
  it.each(
    [...aimedConventions, worldAligned].map(
      (convention) => [tell(convention), convention] as const,
    ),
  )('has no finding at all in frames %s', async (_, convention) => {
    const report = await checkBuilt(build(name, { convention }));
    expect(told(report)).toEqual([]);
    expect(report.verdict).toBe('sound');
  });

  it.each(storages.map((options) => [JSON.stringify(options), options] as const))(
    'has no finding at all stored with %s',
    async (_, options) => {
      expect(told(await checkBuilt(build(name, options)))).toEqual([]);
    },
  );

  it('keeps to a standard that asks for the axes it has', async () => {
    const convention = { aim: '+X', up: '+Y', mirror: 'negate-all' } as const;
    const wanted = { aim: { index: 0, sign: 1 }, up: { index: 1, sign: 1 } } as const;
    expect(told(await checkBuilt(build(name, { convention }), { wanted }))).toEqual([]);
  });

  it('breaks a standard that asks for other axes', async () => {
    const convention = { aim: '+X', up: '+Y', mirror: 'negate-all' } as const;
    const wanted = { aim: { index: 2, sign: 1 }, up: null } as const;
    expect(told(await checkBuilt(build(name, { convention }), { wanted }))).toContain(
      'error axis.uniform',
    );
  });
});

/** Connected flesh takes its time: a few conventions and storages stand for all. */
const onConnected: readonly BuildOptions[] = [
  {},
  { convention: worldAligned },
  { convention: { aim: '+X', up: '+Y', mirror: 'negate-all' } },
  { convention: { aim: '-X', up: '+Y', mirror: 'negate-aim' }, unitScale: 100 },
  { weights: 'u8', positions: 'quantised' },
];

describe.each(castNames)('the sound %s in one connected skin', (name) => {
  it.each(onConnected.map((options) => [JSON.stringify(options), options] as const))(
    'has no finding at all with %s',
    async (_, options) => {
      const report = await checkBuilt(build(name, { flesh: 'connected', ...options }));
      expect([report.verdict, told(report)]).toEqual(['sound', []]);
    },
  );
});

it('the header tells the convention that the cast was built in', async () => {
  for (const name of castNames) {
    for (const convention of aimedConventions) {
      const report = await checkBuilt(build(name, { convention }));
      const found = report.rigs[0]?.conventions;
      expect([name, found?.frames, found?.aim?.left]).toEqual([name, 'aimed', convention.aim]);
    }
    const report = await checkBuilt(build(name, { convention: worldAligned }));
    expect([name, report.rigs[0]?.conventions.frames]).toEqual([name, 'world-aligned']);
  }
});
