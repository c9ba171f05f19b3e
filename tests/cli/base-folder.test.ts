import { readFileSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import type { Log } from 'sarif';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const heron = buildGlb('heron');

function uris(log: string): (string | undefined)[] {
  const { runs }: Log = JSON.parse(log);
  return (runs[0]?.artifacts ?? []).flatMap(({ location }) => (location ? [location.uri] : []));
}

/** A repository with a shop below its root. */
function repository(): { readonly root: string; readonly cwd: string } {
  const root = tempFolder({ 'theatre/shop/heron.glb': heron, 'wagon/mule.glb': heron });
  return { root: join(root, 'theatre'), cwd: join(root, 'theatre/shop') };
}

describe('--base', () => {
  it('tells paths in SARIF from the root of a repository, however it is written', async () => {
    const { root, cwd } = repository();
    symlinkSync(root, join(root, '../stage'));
    for (const base of ['..', root, join(root, '../stage')]) {
      const args = ['check', 'heron.glb', '--format', 'sarif', '--base', base];
      const { code, stdout, stderr } = await runCli(args, { cwd });
      expect({ code, stderr, uris: uris(stdout) }).toEqual({
        code: 0,
        stderr: '',
        uris: ['shop/heron.glb'],
      });
    }
  });

  it('names what lies outside in one line, unless the run is to be quiet', async () => {
    const { cwd } = repository();
    const args = ['check', 'heron.glb', '../../wagon/mule.glb', '-f', 'sarif', '--base', '..'];
    const { code, stdout, stderr } = await runCli(args, { cwd });
    expect(code).toBe(0);
    expect(uris(stdout)).toEqual(['../wagon/mule.glb', 'shop/heron.glb']);
    expect(stderr).toBe(
      'trysquare: ../../wagon/mule.glb does not lie in the folder of --base, .., so a service cannot show where the findings are; name a folder above all assets\n',
    );
    expect((await runCli([...args, '--quiet'], { cwd })).stderr).toBe('');
  });

  it('holds for reports that are joined as well', async () => {
    const { cwd } = repository();
    await runCli(['check', 'heron.glb', '--out', 'part.json'], { cwd });
    const args = ['merge', 'part.json', '--out', 'all.sarif', '--base', '..'];
    expect((await runCli(args, { cwd })).code).toBe(0);
    expect(uris(readFileSync(join(cwd, 'all.sarif'), 'utf8'))).toEqual(['shop/heron.glb']);
  });

  it.each([
    [['--base', 'none', '-f', 'sarif'], '--base names none, which is not a folder'],
    [['--base', 'heron.glb', '-f', 'sarif'], '--base names heron.glb, which is not a folder'],
    [['--base', '..'], '--base is for the paths in SARIF only; add --format sarif'],
  ])('%j is refused', async (args, message) => {
    const { cwd } = repository();
    const { code, stdout, stderr } = await runCli(['check', 'heron.glb', ...args], { cwd });
    expect({ code, stdout, stderr }).toEqual({
      code: 2,
      stdout: '',
      stderr: `trysquare: ${message}\n`,
    });
  });
});
