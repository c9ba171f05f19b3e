import { execFile, spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import type { Report } from '../../src/report/report-types.js';
import { built } from '../support/built.js';
import { moduleWith, PROPS } from '../support/own-modules.js';
import { tempFolder } from '../support/temp-folder.js';

// What a bundle cannot do by itself is done beside it: to import, and to be imported from.
const root = join(built.path, 'package');
const bin = join(root, 'bin/trysquare.cjs');

/** A module that takes its limit from a file beside it, and measures by the library. */
const FILES = {
  'cast/heron.glb': buildGlb('heron'),
  'cast/mule.glb': buildGlb('mule'),
  'house/props.mjs': PROPS.replace(
    "import { judged, rule } from 'trysquare';",
    "import { judged, rule, size } from 'trysquare';\nimport { MOST } from './most.mjs';\nconsole.log('loaded');",
  )
    .replace('default: 5', 'default: MOST')
    .replace('check({ rig }, ', 'check(facts, ')
    .replace('= rig.joints', '= size(facts) > 0 ? facts.rig.joints : { count: 0 }'),
  'house/most.mjs': 'export const MOST = 5;\n',
};

function run(cwd: string, ...args: string[]) {
  return spawnSync(process.execPath, [bin, ...args], { cwd, encoding: 'utf8' });
}

/** The same, while others run. */
function running(cwd: string, ...args: string[]) {
  return new Promise<{ status: number | null; stdout: string; stderr: string }>((done) => {
    const child = execFile(process.execPath, [bin, ...args], { cwd }, (_, stdout, stderr) =>
      done({ status: child.exitCode, stdout, stderr }),
    );
  });
}

function assetsOf(text: string): Report['assets'] {
  // `writeJson` wrote it.
  return (JSON.parse(text) as Report).assets;
}

const JSON_WITH = ['--with', './house/props.mjs', '--format', 'json'];

it('workers judge by a module as the command does alone, and standard output is the report alone', () => {
  const cwd = tempFolder(FILES);
  const list = run(cwd, 'check', 'cast', '--workers', '2', ...JSON_WITH);
  const alone = ['heron', 'mule'].flatMap((name) =>
    assetsOf(run(cwd, 'check', `cast/${name}.glb`, ...JSON_WITH).stdout),
  );
  expect(list.status).toBe(0);
  expect(list.stderr).toBe('loaded\n');
  const assets = assetsOf(list.stdout);
  expect(assets).toEqual(alone);
  expect(assets.map(({ findings }) => findings.map(({ rule }) => rule))).toEqual([
    ['prop.joints'],
    ['prop.joints'],
  ]);
});

it('a cached report is good until the module, or a file that it imports, has other content', () => {
  const cwd = tempFolder(FILES);
  const checked = (): { limits: unknown[]; settings: string } => {
    const { stdout } = run(cwd, 'check', 'cast/heron.glb', '--cache', 'kept', ...JSON_WITH);
    // `writeJson` wrote it.
    const { assets, settings } = JSON.parse(stdout) as Report;
    const limits = assets.map(
      ({ findings }) => findings.find((f) => f.rule === 'prop.joints')?.limit,
    );
    return { limits, settings };
  };
  const before = checked();
  expect(before.limits).toEqual([5]);
  expect(checked()).toEqual(before);
  writeFileSync(join(cwd, 'house/most.mjs'), 'export const MOST = 6;\n');
  const after = checked();
  expect(after.limits).toEqual([6]);
  expect(after.settings).not.toBe(before.settings);
});

/** Modules that do not let themselves be loaded, by what is said of them. */
const HOSTILE = {
  'for (;;);': 'it does not finish loading within 1 s',
  'await new Promise(() => setInterval(() => 0, 1000));': 'it does not finish loading within 1 s',
  "Promise.reject(new Error('lost'));": 'lost',
  'process.exit(0);': 'it ends the process that loads it, or waits for something that never comes',
} as const;

it('modules that do not let themselves be loaded are refused in one line each', async () => {
  const args = ['check', 'cast', '--time-limit', '1', ...JSON_WITH];
  const refused = await Promise.all(
    Object.keys(HOSTILE).map((text) =>
      running(tempFolder({ ...FILES, 'house/props.mjs': text }), ...args),
    ),
  );
  expect(refused).toEqual(
    Object.values(HOSTILE).map((words) => ({
      ...{ status: 2, stdout: '' },
      stderr: `trysquare: ./house/props.mjs cannot be loaded: ${words}\n`,
    })),
  );
});

it('a rule that never ends is stopped by the time limit, in a worker and alone', async () => {
  const cwd = tempFolder({ ...FILES, 'house/props.mjs': moduleWith('check() { for (;;); }') });
  const args = ['--time-limit', '1', '--with', './house/props.mjs'];
  const stopped = await Promise.all(
    ['cast', 'cast/mule.glb'].map((path) => running(cwd, 'check', path, ...args)),
  );
  for (const { status, stdout } of stopped) {
    expect(status).toBe(3);
    expect(stdout.replace(/\s+/g, ' ')).toContain(
      'the rule prop.wheel of ./house/props.mjs did not come to an end: checking it takes longer than the limit of 1 s',
    );
  }
});

it('a module measures with the very library of the process, and every export is there', () => {
  const names = 'Object.keys(library).sort().join()';
  const cwd = tempFolder({
    ...FILES,
    'house/props.mjs': `import * as library from 'trysquare';\nconsole.log(${names});\n${PROPS}`,
  });
  const { stderr } = run(cwd, 'check', 'cast/mule.glb', '--with', './house/props.mjs');
  const index = spawnSync(
    process.execPath,
    ['-e', `import('${join(root, 'dist/index.js')}').then((library) => console.log(${names}))`],
    { encoding: 'utf8' },
  );
  expect(stderr).toBe(index.stdout);
});
