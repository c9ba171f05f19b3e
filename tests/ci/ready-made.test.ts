import { spawnSync } from 'node:child_process';
import { chmodSync, cpSync, existsSync, mkdirSync, readFileSync, symlinkSync } from 'node:fs';
import { basename, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { buildGlb } from '../../fixtures/build.js';
import { built } from '../support/built.js';
import { type Instruction, readContainerfile } from '../support/containerfile.js';
import { githubForms } from '../support/github-forms.js';
import { repository, SOURCE } from '../support/source-copy.js';
import { tempFolder } from '../support/temp-folder.js';

const read = (name: string): string => readFileSync(join(repository, name), 'utf8');

const forms = await githubForms();

describe('action.yml', () => {
  const text = read('action.yml');

  it('has the form that GitHub reads', () => {
    expect(forms.action(text)).toEqual([]);
  });

  it('would be refused with a key of our own, or a step without a shell', () => {
    expect(forms.action(`${text}\nhouse: ours\n`)).not.toEqual([]);
    expect(forms.action(text.replaceAll('shell: bash', 'shel: bash'))).not.toEqual([]);
  });

  it('uses every input it declares and every output it promises, and no others', () => {
    const { inputs, outputs } = parse(text) as Record<'inputs' | 'outputs', object>;
    const used = (what: RegExp): string[] =>
      [...new Set([...text.matchAll(what)].map((match) => match[1] ?? ''))].sort();
    expect(used(/\$\{\{ inputs\.([a-z-]+) \}\}/g)).toEqual(Object.keys(inputs).sort());
    expect(used(/\$\{\{ steps\.check\.outputs\.([a-z-]+) \}\}/g)).toEqual(
      Object.keys(outputs).sort(),
    );
    expect(used(/^ +echo "([a-z-]+)(?:=|<<)/gm)).toEqual(Object.keys(outputs).sort());
  });
});

// Source of the form: docs.docker.com, Dockerfile reference; Containerfile(5) is the same form.
describe('Containerfile', () => {
  const stages = readContainerfile(read('Containerfile'));
  const [build = [], ship = []] = stages;
  const words = (stage: readonly Instruction[], name: string): string[][] =>
    stage.filter((one) => one.name === name).map((one) => one.words);
  const sources = words(build, 'COPY').flatMap((copy) => copy.slice(0, -1));
  const fromContext = [...sources, ...words(ship, 'COPY').flatMap(contextSources)];

  it('copies only what the repository has, all of which goes to the builder and nothing else', () => {
    for (const source of fromContext)
      expect([source, existsSync(join(repository, source))]).toEqual([source, true]);
    const ignore = read('.dockerignore')
      .split('\n')
      .filter((line) => /^[^#]/.test(line));
    expect(ignore[0]).toBe('*');
    expect(ignore.slice(1).sort()).toEqual(fromContext.map((source) => `!${source}`).sort());
  });

  it('ends as a user without rights, in /rigs, with the command as its entry', () => {
    expect(words(ship, 'USER')).toEqual([['node']]);
    expect(words(ship, 'WORKDIR')).toEqual([['/rigs']]);
    expect(words(ship, 'ENTRYPOINT')).toEqual([['["trysquare"]']]);
  });

  it('builds from what it copies, and ships what checking needs, the rigs being read-only', () => {
    const root = tempFolder();
    // The very source that the command under test was built from.
    expect([...sources].sort()).toEqual([...SOURCE].sort());
    symlinkSync(built.folder, join(root, 'build'));
    const runs = words(build, 'RUN').map((run) => run.join(' '));
    expect(runs).toEqual([
      'npm ci --ignore-scripts',
      'npm run build',
      'npm prune --omit=dev --ignore-scripts',
    ]);

    for (const copy of words(ship, 'COPY')) {
      const [stage, from = '', to = ''] = copy[0]?.startsWith('--from=') ? copy : ['', ...copy];
      const source = stage === '' ? join(repository, from) : join(root, from);
      const target = to.endsWith('/') ? join(root, to, basename(from)) : join(root, to);
      mkdirSync(join(target, '..'), { recursive: true });
      if (basename(from) === 'node_modules') symlinkSync(join(repository, 'node_modules'), target);
      else cpSync(source, target, { recursive: true });
    }
    const [, , entry = '', link = ''] = words(ship, 'RUN')[0] ?? [];
    const command = join(root, basename(link));
    symlinkSync(join(root, entry), command);

    const rigs = tempFolder({ 'puppets/heron.glb': buildGlb('heron') });
    chmodSync(join(rigs, 'puppets'), 0o555);
    const { status, stdout } = spawnSync(command, ['check', 'puppets'], {
      cwd: rigs,
      encoding: 'utf8',
    });
    chmodSync(join(rigs, 'puppets'), 0o755);
    expect([status, stdout]).toEqual([0, expect.stringContaining('Verdict: sound')]);
  }, 120_000);
});

function contextSources(copy: readonly string[]): string[] {
  return copy[0]?.startsWith('--') ? [] : copy.slice(0, -1);
}
