import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { FORMATS } from '../../../src/cli/output/formats/index.js';
import { isAssetName } from '../../../src/cli/paths/find-assets.js';
import { ONE_FILE_FORMATS } from '../../support/one-file-formats.js';
import { runCli } from '../../support/run-cli.js';
import { tempFolder } from '../../support/temp-folder.js';

const fault = faultNamed('flipped-shin');
const built = build(fault.puppet, { faults: [fault] });
const [asset = ''] = built.files.keys();
/** A folder with a faulty puppet, and where the script of a page would be. */
function folder(): { cwd: string; pageScript: string } {
  const cwd = tempFolder({ ...Object.fromEntries(built.files), 'page.js': 'show();' });
  return { cwd, pageScript: join(cwd, 'page.js') };
}

it('the list and the folder hold the same forms', () => {
  const files = readdirSync(new URL('../../../src/cli/output/formats/', import.meta.url));
  const named = FORMATS.map(({ name }) => `${name}.ts`);
  expect([...named, 'index.ts'].sort()).toEqual(files.sort());
});

it('no two forms share a name or an ending, and none has the ending of an asset', () => {
  const endings = FORMATS.flatMap((format) => format.endings);
  expect(new Set(endings).size).toBe(endings.length);
  expect(new Set(FORMATS.map(({ name }) => name)).size).toBe(FORMATS.length);
  expect(endings.filter((ending) => isAssetName(`heron.${ending}`))).toEqual([]);
  expect(FORMATS.filter((format) => format.endings.length === 0)).toEqual([]);
});

describe.each(FORMATS)('$name', ({ name, endings, options = [] }) => {
  it('tells the fault, and is the same by its name and by each of its endings', async () => {
    const place = folder();
    const { code, stdout } = await runCli(['check', asset, '--format', name], place);
    expect(code).toBe(1);
    expect(stdout).toContain(fault.rule);
    for (const ending of endings) {
      await runCli(['check', asset, '--out', `rigs.${ending}`], place);
      const written = readFileSync(join(place.cwd, `rigs.${ending}`), 'utf8');
      expect(withoutTimes(written)).toBe(withoutTimes(stdout));
    }
  });

  it('is in the help of every command that writes reports, with its options', async () => {
    for (const command of ['check', 'merge']) {
      const { stdout } = await runCli([command, '--help'], { ...folder(), columns: 1000 });
      expect(stdout).toMatch(new RegExp(`--format <format> .*"${name}"`));
      for (const ending of endings) expect(stdout).toContain(`.${ending} ${name}`);
      // What only a check can measure is asked for there.
      for (const { flags, asksFor } of options)
        expect(stdout.includes(flags)).toBe(command === 'check' || asksFor === undefined);
    }
  });
});

it.each(ONE_FILE_FORMATS)(
  '%s tells an asset that cannot be read, and a finding that is waived',
  async (name) => {
    const { cwd } = folder();
    writeFileSync(join(cwd, 'cut.glb'), buildGlb('heron').subarray(0, 1000));
    const waiver = { rule: fault.rule, asset: asset, why: 'a crank', by: 'the prop room' };
    writeFileSync(
      join(cwd, 'trysquare.waivers.json'),
      JSON.stringify({ waivers: [{ ...waiver, joint: '*' }] }),
    );
    const { code, stdout } = await runCli(['check', asset, 'cut.glb', '--format', name], { cwd });
    expect(code).toBe(3);
    expect(stdout).toContain('cut.glb');
    expect(stdout.replace(/\s+/g, ' ')).toContain('the file has 1000');
    expect(stdout).toMatch(/waived|suppressions/i);
  },
);

const own = FORMATS.flatMap(({ name, options = [] }) =>
  options.map((option) => ({ ...option, name })),
);

it.each(own)('$flags is refused where the report is no $name', async (option) => {
  const [flag = ''] = option.flags.split(' ');
  const other = FORMATS.find(({ name }) => name !== option.name)?.name ?? '';
  const args = ['check', asset, '--format', other, flag, option.choices?.[0] ?? '.'];
  const { code, stderr } = await runCli(args, folder());
  expect([code, stderr]).toEqual([2, `trysquare: ${option.refusal}\n`]);
});

/** How long a check took differs from run to run. */
function withoutTimes(text: string): string {
  return text.replace(/ time="[\d.]+"/g, '');
}
