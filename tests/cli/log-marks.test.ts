import { describe, expect, it } from 'vitest';
import { buildGlb, toGltfJson } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { ONE_FILE_FORMATS } from '../support/one-file-formats.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const MARKS = ['::error::', '##[error]', '##vso[x]', '##teamcity[x]'] as const;

/** Lines that a build service would obey; tests/report/log-marks.test.ts has the sources. */
function obeyed(text: string): string[] {
  return text.split(/[\r\n]/).filter((line) => /^\s*::/.test(line) || /##[\w.-]*\[/.test(line));
}

/** An unsound heron all of whose nodes, its mesh and its clips are called by a mark. */
function markedHeron(mark: string): string {
  const json = toGltfJson('heron', { faults: [faultNamed('flipped-shin')] });
  for (const list of [json.nodes, json.meshes, json.skins, json.animations])
    for (const item of list ?? []) item.name = `${mark}${item.name ?? ''}`;
  return JSON.stringify(json);
}

/** The same in a house whose files, too, are called by it. */
function markedFolder(mark: string): string {
  const heron = `${mark}heron.gltf`;
  const waiver = { rule: 'skin.sum', asset: '*.glb', why: mark, by: mark, until: '2020-01-01' };
  return tempFolder({
    [heron]: markedHeron(mark),
    [`${mark}cut.glb`]: buildGlb('heron').slice(0, 1000),
    'trysquare.waivers.json': JSON.stringify({ waivers: [waiver] }),
  });
}

describe.each(MARKS)('where everything is called %s', (mark) => {
  it('no line of a check is obeyed by a build service, in any form', async () => {
    const cwd = markedFolder(mark);
    for (const form of ONE_FILE_FORMATS) {
      const { code, stdout, stderr } = await runCli(['check', '.', '--format', form], { cwd });
      expect(code).toBe(3);
      expect(`${stdout}${stderr}`.length).toBeGreaterThan(100);
      expect({ form, obeyed: obeyed(`${stdout}\n${stderr}`) }).toEqual({ form, obeyed: [] });
    }
  });

  it('nor of another command, nor of a complaint', async () => {
    const cwd = markedFolder(mark);
    await runCli(['check', '.', '--format', 'json', '--out', 'report.json'], { cwd });
    const commands = [
      ['draw', `./${mark}heron.gltf`],
      ['mend', `./${mark}heron.gltf`, '--dry-run'],
      ['mend', `./${mark}cut.glb`, '--dry-run'],
      ['waive', 'report.json', '--all', '--why', mark, '--by', mark],
      ['grade', '.', '--out', `${mark}grades`],
      ['check', `./${mark}none.glb`],
      ['check', '.', '--standard', `${mark}none.json`],
      ['check', '.', `--${mark}`],
      ['rules', mark],
    ];
    for (const args of commands) {
      const { stdout, stderr } = await runCli(args, { cwd });
      expect(`${stdout}${stderr}`).not.toBe('');
      expect({ args, obeyed: obeyed(`${stdout}\n${stderr}`) }).toEqual({ args, obeyed: [] });
    }
  });
});
