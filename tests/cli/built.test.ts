import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { rules } from '../../rules/index.js';
import { gradesSchema } from '../../src/grade/older/grades-schema.js';
import { reportSchema } from '../../src/report/report-schema.js';
import { version } from '../../src/report/version.js';
import { standardSchema } from '../../src/standard/standard-schema.js';
import { built } from '../support/built.js';
import { tempFolder } from '../support/temp-folder.js';

// What is packed is what people run: it must be there and agree with the source.
const root = join(built.path, 'package');
const bin = join(root, 'bin/trysquare.cjs');

it('the built command checks files, folders and all formats like the source', () => {
  const cwd = tempFolder({
    'cast/heron.glb': buildGlb('heron'),
    'cast/cut.glb': buildGlb('mule').slice(0, 99),
  });
  for (const args of [
    ['cast'],
    ['cast', '--format', 'json'],
    ['cast', '--format', 'sarif'],
    ['cast/*.glb', '--colour', 'always'],
  ]) {
    const { status, stdout, stderr } = spawnSync(process.execPath, [bin, 'check', ...args], {
      cwd,
      encoding: 'utf8',
    });
    expect([args, status]).toEqual([args, 3]);
    expect(stdout).toContain('heron.glb');
    expect(stderr).not.toContain('fault of trysquare itself');
  }
});

it('what makes digests is loaded for a report that has some, and not for text', () => {
  const watch =
    "process.on('exit', () => process.stderr.write(String(process.moduleLoadList.includes('NativeModule crypto'))))";
  const cwd = tempFolder({ 'heron.glb': buildGlb('heron'), 'watch.cjs': watch });
  const hasLoaded = (format: string): string => {
    const args = ['--require', './watch.cjs', bin, 'check', 'heron.glb', '--format', format];
    return spawnSync(process.execPath, args, { cwd, encoding: 'utf8' }).stderr;
  };
  expect(['text', 'json'].map(hasLoaded)).toEqual(['false', 'true']);
});

it('the built command reads a standard and standard input', () => {
  const cwd = tempFolder({ 'trysquare.json': '{ "conventions": { "aim": "+Z" } }' });
  const { status, stdout } = spawnSync(process.execPath, [bin, 'check', '-'], {
    cwd,
    input: buildGlb('heron'),
    encoding: 'utf8',
  });
  expect(status).toBe(1);
  expect(stdout).toMatch(/but\s+the\s+standard\s+asks\s+for\s+\+Z/);
});

it('the demo is written and checked, with the file that is cut off for its only trouble', () => {
  const args = ['--import', 'tsx', 'fixtures/demo.ts', tempFolder()];
  const { status, stdout } = spawnSync(process.execPath, args, {
    cwd: built.folder,
    encoding: 'utf8',
  });
  expect([status, stdout]).toEqual([0, expect.stringContaining('heron-cut-off.glb')]);
});

it('a reader that stops early ends the command quietly', () => {
  const cwd = tempFolder({ 'heron.glb': buildGlb('heron') });
  const command = `for i in 1 2 3; do "${process.execPath}" "${bin}" check heron.glb --format json; done | head -n 1`;
  const { status, stderr } = spawnSync('sh', ['-c', command], { cwd, encoding: 'utf8' });
  expect([status, stderr]).toEqual([0, '']);
});

it('the built library is the entry that package.json names, with its types', async () => {
  const library = (await import(`${root}/dist/index.js`)) as typeof import('../../src/index.js');
  const cwd = tempFolder({ 'heron.glb': buildGlb('heron') });
  const report = await library.checkAsset(`${cwd}/heron.glb`);
  expect([library.version, report.verdict]).toEqual([version, 'sound']);
  expect(existsSync(`${root}/dist/types/src/index.d.ts`)).toBe(true);
});

it('the built schemas are those of the source', () => {
  const read = (name: string): unknown => JSON.parse(readFileSync(`${root}/dist/${name}`, 'utf8'));
  expect(read('standard.schema.json')).toEqual(JSON.parse(JSON.stringify(standardSchema(rules))));
  expect(read('report.schema.json')).toEqual(JSON.parse(JSON.stringify(reportSchema)));
  expect(read('grades.schema.json')).toEqual(JSON.parse(JSON.stringify(gradesSchema)));
});
