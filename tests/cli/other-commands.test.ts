import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { LEVELS } from '../../src/kit/finding.js';
import { LEVEL_MEANINGS } from '../../src/kit/level-meanings.js';
import { levelsOfRule } from '../../src/kit/rule.js';
import { version } from '../../src/report/version.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

it('rules lists every rule', async () => {
  const { code, stdout } = await runCli(['rules'], { cwd: tempFolder() });
  expect(code).toBe(0);
  for (const rule of rules) expect(stdout).toContain(`${rule.id} `);
});

it('rules FAMILY lists that family alone', async () => {
  const { stdout } = await runCli(['rules', 'chain'], { cwd: tempFolder() });
  const ids = stdout.split('\n').flatMap((line) => /^[a-z]+\.[a-z-]+/.exec(line)?.[0] ?? []);
  expect(ids).toEqual(rules.filter((rule) => rule.family === 'chain').map((rule) => rule.id));
});

it('rules ID explains one rule: why, measure, limit, remedy, source', async () => {
  for (const rule of rules) {
    const { stdout } = await runCli(['rules', rule.id], { cwd: tempFolder() });
    const flat = stdout.replace(/\s+/g, ' ');
    for (const text of [rule.title, rule.why, rule.formula, rule.remedy, rule.source]) {
      expect(flat).toContain(text.replace(/\s+/g, ' '));
    }
    for (const limit of Object.values(rule.limits)) {
      const unit =
        limit.default === 1 ? limit.unit.replace(/^(joint|skin|degree)s$/, '$1') : limit.unit;
      expect(flat).toContain(`${limit.default} ${unit} (`);
    }
  }
});

it('rules says what the levels mean, in the list all, of one rule its own', async () => {
  const flat = async (...args: string[]) =>
    (await runCli(['rules', ...args], { cwd: tempFolder() })).stdout.replace(/\s+/g, ' ');
  for (const list of [await flat(), await flat('chain')])
    for (const level of LEVELS) expect(list).toContain(`${level}: ${LEVEL_MEANINGS[level]}`);
  for (const rule of rules) {
    const page = await flat(rule.id);
    for (const level of LEVELS)
      expect(page.includes(LEVEL_MEANINGS[level])).toBe(levelsOfRule(rule).includes(level));
  }
});

it('rules keeps to 80 columns', async () => {
  const list = await runCli(['rules'], { cwd: tempFolder(), columns: 80 });
  const one = await runCli(['rules', 'axis.up'], { cwd: tempFolder(), columns: 80 });
  for (const line of `${list.stdout}${one.stdout}`.split('\n'))
    expect(line.length).toBeLessThanOrEqual(80);
});

it('rules offers the nearest spelling of an unknown one', async () => {
  const { code, stderr } = await runCli(['rules', 'axis.curls'], { cwd: tempFolder() });
  expect(code).toBe(2);
  expect(stderr).toContain('Did you mean "axis.curl"?');
});

it('standard init writes a standard that changes nothing as it stands, and never overwrites', async () => {
  const cwd = tempFolder();
  expect((await runCli(['standard', 'init'], { cwd })).code).toBe(0);
  const written = readFileSync(join(cwd, 'trysquare.json'), 'utf8');
  // The only limit of this one is a number of the contract.
  const keyOf = (id: string): string => (id === 'root.single' ? 'roots' : id);
  for (const { id, limits } of rules)
    if (Object.keys(limits).length > 0) expect(written).toContain(`"${keyOf(id)}": `);
  const again = await runCli(['standard', 'init'], { cwd });
  expect(again.code).toBe(2);
  expect(again.stderr).toContain('exists already');
  expect(readFileSync(join(cwd, 'trysquare.json'), 'utf8')).toBe(written);
});

it('rules lists each with a level and a title that are apart', async () => {
  const { stdout } = await runCli(['rules'], { cwd: tempFolder(), columns: 100 });
  for (const { id, title } of rules) {
    const line = stdout.split('\n').find((each) => each.startsWith(`${id} `)) ?? '';
    expect(line).toContain(`  ${title.slice(0, 15)}`);
  }
});

it('standard init says how a standard with another name is used', async () => {
  const cwd = tempFolder();
  const { stderr } = await runCli(['standard', 'init', 'mine.json'], { cwd });
  expect(stderr).toContain('name it to each command: trysquare check RIG --standard mine.json');
  const written = readFileSync(join(cwd, 'mine.json'), 'utf8');
  expect(written).toContain('--standard "mine.json"');
  expect(written).not.toContain('below');
  expect(written).not.toContain('"alone"');
  const plain = await runCli(['standard', 'init'], { cwd });
  expect(plain.stderr).toContain('run "trysquare check" in its folder or a folder below');
  const unchanged = readFileSync(join(cwd, 'trysquare.json'), 'utf8');
  expect(unchanged).toContain('// "alone": true');
  expect(unchanged.slice(unchanged.indexOf('"conventions"'))).toBe(
    written.slice(written.indexOf('"conventions"')),
  );
});

it('schema prints each schema as JSON', async () => {
  for (const of of ['standard', 'report', 'waivers', 'mend', 'grades']) {
    const { code, stdout } = await runCli(['schema', of], { cwd: tempFolder() });
    expect(code).toBe(0);
    expect(JSON.parse(stdout)).toHaveProperty('type', 'object');
  }
});

it('--version prints the version of the package', async () => {
  expect(await runCli(['--version'], { cwd: tempFolder() })).toEqual({
    code: 0,
    stdout: `${version}\n`,
    stderr: '',
  });
});

it('--help has examples and the exit codes', async () => {
  const { code, stdout } = await runCli(['check', '--help'], { cwd: tempFolder() });
  expect(code).toBe(0);
  expect(stdout).toContain('Examples:\n  trysquare check heron.glb');
  expect(stdout).toMatch(/Exit codes:\n {2}0 .+\n {2}1 .+\n {2}2 .+\n {2}3 /);
});
