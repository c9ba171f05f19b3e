import { expect, it, vi } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const reads = vi.hoisted((): string[] => []);
vi.mock('../../src/house/house-file.js', async (original) => {
  const real = await original<typeof import('../../src/house/house-file.js')>();
  return {
    ...real,
    readHouseText: (...args: Parameters<typeof real.readHouseText>) => {
      reads.push(args[1]);
      return real.readHouseText(...args);
    },
  };
});

it('standards above an asset are read once each, however many assets lie below', async () => {
  const heron = buildGlb('heron');
  const cwd = tempFolder({
    'trysquare.json': '{}',
    'heron.glb': heron,
    'stage/trysquare.json': '{}',
    'stage/heron.glb': heron,
    'stage/deep/trysquare.json': '{}',
    'stage/deep/heron.glb': heron,
    ...Object.fromEntries(
      ['a', 'b', 'c', 'd'].map((name) => [`stage/deep/${name}.glb`, 'cut off']),
    ),
  });
  const { stdout } = await runCli(['check', '.', '-f', 'json', '--no-ledger'], { cwd });
  expect(JSON.parse(stdout)).toMatchObject({ totals: { assets: 7 } });
  expect(reads.toSorted()).toEqual([
    'the standard stage/deep/trysquare.json',
    'the standard stage/trysquare.json',
    'the standard trysquare.json',
  ]);
});
