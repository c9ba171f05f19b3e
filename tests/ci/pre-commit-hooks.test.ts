import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it, vi } from 'vitest';
import { parse } from 'yaml';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { built } from '../support/built.js';
import { repository } from '../support/source-copy.js';
import { tempFolder } from '../support/temp-folder.js';

// Each runs whole processes, several of them.
vi.setConfig({ testTimeout: 60_000 });

// Source of the form: pre-commit.com, "Creating new hooks". Required keys, then optional ones.
const REQUIRED = ['id', 'name', 'entry', 'language'];
const OPTIONAL = ['files', 'exclude', 'types', 'types_or', 'exclude_types', 'always_run'].concat(
  ['fail_fast', 'verbose', 'pass_filenames', 'require_serial', 'description', 'language_version'],
  ['minimum_pre_commit_version', 'args', 'stages'],
);

interface Hook {
  readonly id: string;
  readonly entry: string;
  readonly language: string;
  readonly files: string;
  readonly args: readonly string[];
  readonly pass_filenames?: boolean;
}

// That each has this form is what the first test asserts.
const hooks = parse(readFileSync(join(repository, '.pre-commit-hooks.yaml'), 'utf8')) as Hook[];

it('every hook has the form that pre-commit documents', () => {
  expect(hooks.map((hook) => hook.id)).toEqual(['trysquare', 'trysquare-folder']);
  for (const hook of hooks) {
    expect(Object.keys(hook)).toEqual(expect.arrayContaining(REQUIRED));
    for (const key of Object.keys(hook)) expect([...REQUIRED, ...OPTIONAL]).toContain(key);
    for (const text of [hook.id, hook.entry, hook.files, ...hook.args])
      expect(text).toBeTypeOf('string');
    expect(hook.language).toBe('node');
  }
});

// docs.npmjs.com, scripts, "Life Cycle Scripts": of a git dependency, npm runs `prepare` alone.
it('what npm takes from a git repository builds itself, once', () => {
  const manifest = JSON.parse(readFileSync(join(repository, 'package.json'), 'utf8')) as {
    scripts: Record<string, string>;
  };
  // What the build makes, all other tests see; here it notes that it was asked for.
  const build = `node -e "fs.mkdirSync('dist',{recursive:true});fs.appendFileSync('dist/cli.cjs','built;')"`;
  const scripts = { ...manifest.scripts, build };
  const cwd = tempFolder({ 'package.json': JSON.stringify({ ...manifest, scripts }) });
  for (let times = 0; times < 2; times++)
    expect(spawnSync('npm', ['run', '--silent', 'prepare'], { cwd }).status).toBe(0);
  expect(readFileSync(join(cwd, 'dist/cli.cjs'), 'utf8')).toBe('built;');
});

// pre-commit's installer of node hooks takes all that `npm pack` prints for the name of the package
// (pre_commit/languages/node.py; pre-commit pull request 3460 shows what happens when it is more).
it('npm pack prints the name of the package and nothing else', () => {
  expect(built.printed).toEqual([expect.stringMatching(/^trysquare-[\d.]+\.tgz$/)]);
});

it('the patterns choose rigs by ending in any case, the second buffers too', () => {
  const names = ['a.glb', 'deep/b.GLTF', 'c.vrm', 'd.bin', 'e.glb.txt', 'glb', 'f.png'];
  const chosen = hooks.map((hook) => names.filter((name) => pattern(hook).test(name)));
  expect(chosen).toEqual([names.slice(0, 3), names.slice(0, 4)]);
});

it('a commit of sound rigs passes, one with an unsound or an unreadable rig does not', () => {
  const heron = buildGlb('heron');
  const cwd = tempFolder({
    'sound/a b.glb': heron,
    'unsound.glb': buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
    'cut.glb': heron.slice(0, 99),
  });
  expect(run('trysquare', ['sound/a b.glb'], cwd)).toMatchObject({ status: 0, stderr: '' });
  expect(run('trysquare', ['sound/a b.glb', 'unsound.glb'], cwd).status).toBe(1);
  expect(run('trysquare', ['cut.glb', 'unsound.glb'], cwd).status).toBe(3);
});

it('a file named like an option or a command is a file', () => {
  const names = ['--only.glb', '$(touch taken).glb', '-.glb'];
  const cwd = tempFolder(Object.fromEntries(names.map((name) => [name, buildGlb('heron')])));
  expect(run('trysquare', names, cwd)).toMatchObject({ status: 0, stderr: '' });
});

it('a commit of a buffer alone has the folder checked', () => {
  const { files } = build('mule', {
    container: 'gltf-external',
    faults: [faultNamed('forelegs-hung-by-the-hoof')],
  });
  const cwd = tempFolder(Object.fromEntries(files));
  const touched = [...files.keys()].filter((name) => name.endsWith('.bin'));
  expect(touched).not.toEqual([]);
  expect(run('trysquare', touched, cwd).stdout).toContain('Skipped');
  expect(run('trysquare-folder', touched, cwd).status).toBe(1);
});

/** Runs a hook from the packed command as pre-commit does: entry, args, then the files it chose. */
function run(id: string, touched: readonly string[], cwd: string): Outcome {
  const hook = hooks.find((one) => one.id === id);
  if (hook === undefined) throw new Error(`there is no hook ${id}`);
  const files = touched.filter((name) => pattern(hook).test(name));
  if (files.length === 0) return { status: 0, stdout: 'Skipped', stderr: '' };
  const [command = '', ...words] = [...hook.entry.split(' '), ...hook.args];
  const args = hook.pass_filenames === false ? words : [...words, ...files];
  const env = { ...process.env, PATH: `${built.path}:${process.env.PATH ?? ''}` };
  return spawnSync(command, args, { cwd, env, encoding: 'utf8' });
}

interface Outcome {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** The pattern of a hook; Python's leading (?i) is a flag here. */
function pattern({ files }: Hook): RegExp {
  return new RegExp(files.replace(/^\(\?i\)/, ''), files.startsWith('(?i)') ? 'i' : '');
}
