import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { readSvg } from '../draw/drawn.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const heron = buildGlb('heron');
const flipped = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

it('draws a rig on standard output and ends with 0, also when it is unsound', async () => {
  const cwd = tempFolder({ 'heron.glb': flipped });
  const { code, stdout, stderr } = await runCli(['draw', 'heron.glb'], { cwd });
  expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
  const texts = readSvg(stdout).map(({ text }) => text);
  expect(texts).toContain('heron.glb');
  expect(texts).toContain('error axis.up');
});

it('writes the same drawing into a file, and says so', async () => {
  const cwd = tempFolder({ 'heron.glb': flipped });
  const { stdout } = await runCli(['draw', 'heron.glb'], { cwd });
  const run = await runCli(['draw', 'heron.glb', '-o', 'heron.svg'], { cwd });
  expect(run).toEqual({
    code: 0,
    stdout: '',
    stderr: 'trysquare: unsound; the drawing is in heron.svg\n',
  });
  expect(readFileSync(join(cwd, 'heron.svg'), 'utf8')).toBe(stdout);
  expect(readdirSync(cwd).sort()).toEqual(['heron.glb', 'heron.svg']);
});

it('overwrites nothing without --replace', async () => {
  const cwd = tempFolder({ 'heron.glb': heron, 'heron.svg': 'mine' });
  const refused = await runCli(['draw', 'heron.glb', '-o', 'heron.svg'], { cwd });
  expect(refused.code).toBe(2);
  expect(refused.stderr).toContain('heron.svg exists already; add --replace');
  expect(readFileSync(join(cwd, 'heron.svg'), 'utf8')).toBe('mine');
  const replaced = await runCli(['draw', 'heron.glb', '-o', 'heron.svg', '--replace'], { cwd });
  expect(replaced.code).toBe(0);
  expect(readFileSync(join(cwd, 'heron.svg'), 'utf8')).toContain('<svg');
});

it('never writes over the asset', async () => {
  const cwd = tempFolder({ 'heron.glb': heron });
  const args = ['draw', 'heron.glb', '-o', './heron.glb', '--replace'];
  const { code, stderr } = await runCli(args, { cwd });
  expect(code).toBe(2);
  expect(stderr).toContain('which is the asset to draw');
  expect(readFileSync(join(cwd, 'heron.glb')).equals(heron)).toBe(true);
});

it('reads standard input', async () => {
  const { code, stdout } = await runCli(['draw', '-'], { cwd: tempFolder(), stdin: heron });
  expect(code).toBe(0);
  expect(readSvg(stdout).map(({ text }) => text)).toContain('Standard input');
});

it.each([
  ['absent.glb', 'absent.glb cannot be read: there is no such file'],
  ['torn.glb', 'torn.glb cannot be read: '],
])(
  'tells in one line of %s that cannot be read, writes nothing and ends with 3',
  async (name, words) => {
    const cwd = tempFolder();
    writeFileSync(join(cwd, 'torn.glb'), heron.subarray(0, 200));
    const { code, stdout, stderr } = await runCli(['draw', name, '-o', 'out.svg'], { cwd });
    expect({ code, stdout }).toEqual({ code: 3, stdout: '' });
    expect(stderr).toMatch(/^trysquare: [^\n]+\n$/);
    expect(stderr).toContain(words);
    expect(existsSync(join(cwd, 'out.svg'))).toBe(false);
  },
);

it('goes by the ledger as check does', async () => {
  const cwd = tempFolder({ 'heron.glb': flipped });
  await runCli(['check', 'heron.glb', '-o', 'r.json'], { cwd });
  const waive = ['waive', 'r.json', '--all', '--why', 'a prop', '--by', 'rigging'];
  expect((await runCli(waive, { cwd })).code).toBe(0);
  const drawn = await runCli(['draw', 'heron.glb', '-o', 'a.svg'], { cwd });
  expect(drawn.stderr).toBe('trysquare: sound; the drawing is in a.svg\n');
  expect(readFileSync(join(cwd, 'a.svg'), 'utf8')).toContain('waived');
  const plain = await runCli(['draw', 'heron.glb', '-o', 'b.svg', '--no-ledger'], { cwd });
  expect(plain.stderr).toBe('trysquare: unsound; the drawing is in b.svg\n');
});

it('marks only what the chosen rules and families find, held to the standard that is named', async () => {
  const cwd = tempFolder({
    'heron.glb': flipped,
    'house.json': '{ "levels": { "axis.up": "warning" } }',
  });
  const skipped = await runCli(['draw', 'heron.glb', '--skip', 'axis'], { cwd });
  expect(skipped.stdout).not.toContain('axis.up');
  const held = await runCli(['draw', 'heron.glb', '-s', 'house.json', '--only', 'axis'], { cwd });
  expect(held.stdout).toContain('warning axis.up');
  const one = await runCli(['draw', 'heron.glb', '--only', 'axis.aim'], { cwd });
  expect(one.stdout).not.toContain('axis.up');
});

it.each([
  [['draw', '.'], 'has several'],
  [['draw', 'a.glb', '-o', 'sub/'], 'names a folder'],
  [['draw', 'a.glb', '-o', 'a.png'], 'give it a name that ends in .svg'],
  [['draw', 'a.glb', '-o', 'none/a.svg'], 'its folder does not exist'],
  [['draw', 'a.glb', '--replace'], '--replace goes with --out FILE'],
  [['draw', 'a.glb', '--only', 'axs'], 'Did you mean "axis"?'],
] as const)('%j is refused with what is wrong', async (args, words) => {
  const cwd = tempFolder({ 'a.glb': heron, 'b.glb': heron });
  const { code, stdout, stderr } = await runCli(args, { cwd });
  expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
  expect(stderr).toContain(words);
});
