import { type SpawnSyncReturns, spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { built } from './built.js';
import { tempFolder } from './temp-folder.js';

const RIGS = ['act-1/heron.glb', 'act-1/mule.glb', 'act-2/rolled.glb', 'act-3/heron.glb'];

/** A folder as a CI machine checks it out: four rigs in `puppets`, one of them unsound. */
export function workspace(): string {
  const heron = buildGlb('heron');
  return tempFolder({
    'puppets/act-1/heron.glb': heron,
    'puppets/act-1/mule.glb': buildGlb('mule'),
    'puppets/act-2/rolled.glb': buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
    'puppets/act-3/heron.glb': heron,
  });
}

/** The folder with the command built in it, and a shell that finds it; for one file of tests. */
export function machine(): {
  readonly folder: string;
  readonly run: (
    shell: readonly string[],
    script: string,
    cwd: string,
    env?: Readonly<Record<string, string>>,
  ) => SpawnSyncReturns<string>;
} {
  return {
    folder: built.folder,
    run: ([shell = '', ...args], script, cwd, env = {}) => {
      const path = `${built.path}:${process.env.PATH ?? ''}`;
      const all = { ...process.env, ...env, PATH: path };
      return spawnSync(shell, [...args, script], { cwd, env: all, encoding: 'utf8' });
    },
  };
}

/** Asserts that the parts in a folder hold every rig once, and no part all of them. */
export function expectShares(folder: string, parts: number): void {
  const names = readdirSync(folder).filter((name) => /^part-\d+\.json$/.test(name));
  expect(names.sort()).toEqual(Array.from({ length: parts }, (_, at) => `part-${at + 1}.json`));
  const paths = names.map((name) => {
    // Written a moment ago by the command under test.
    const report = JSON.parse(readFileSync(join(folder, name), 'utf8')) as {
      assets: { path: string }[];
    };
    return report.assets.map((asset) => asset.path);
  });
  expect(paths.flat().sort()).toEqual(RIGS.map((rig) => `puppets/${rig}`));
  expect(Math.max(...paths.map((share) => share.length))).toBeLessThan(RIGS.length);
}

/** Asserts that each joined report is there and tells of the unsound rig. */
export function expectJoined(folder: string, ...files: string[]): void {
  for (const file of files)
    expect(readFileSync(join(folder, file), 'utf8')).toContain('puppets/act-2/rolled.glb');
}
