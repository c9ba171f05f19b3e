import { spawn, spawnSync } from 'node:child_process';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { Report } from '../../src/report/report-types.js';
import { built } from '../support/built.js';
import { type CliRun, runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const bin = join(built.folder, 'bin/trysquare.cjs');

/** Runs the command in this process alone. */
function runCliIn(cwd: string, ...args: string[]): Promise<CliRun> {
  return runCli(args, { cwd });
}

/** Runs the command in this process, with workers as a build has them. */
function runHere(cwd: string, ...args: string[]): Promise<CliRun> {
  return runCli(args, { cwd, worker: join(built.folder, 'bin/worker.cjs') });
}

function run(
  cwd: string,
  ...args: string[]
): { code: number | null; stdout: string; stderr: string } {
  const { status, stdout, stderr } = spawnSync(process.execPath, [bin, ...args], {
    cwd,
    encoding: 'utf8',
    maxBuffer: 1 << 28,
  });
  return { code: status, stdout, stderr };
}

/** Sound, unsound and unreadable assets, in folders. */
function library(): string {
  const cwd = tempFolder({ 'z/cut.glb': buildGlb('mule').slice(0, 4000), 'z/no.gltf': '{' });
  mkdirSync(join(cwd, 'cast'));
  for (const name of castNames) writeFileSync(join(cwd, `cast/${name}.glb`), buildGlb(name));
  const bad = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });
  writeFileSync(join(cwd, 'cast/a bad heron.glb'), bad);
  return cwd;
}

/** Three assets in a folder, for tests that run over them many times. */
function threeRigs(): string {
  return tempFolder({
    'cast/a bad heron.glb': buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
    'cast/heron.glb': buildGlb('heron'),
    'cast/mule.glb': buildGlb('mule'),
  });
}

const bombs = new Map<number, string>();

/** So many joints in a row that reading them takes seconds and hundreds of MiB. */
function bomb(joints = 200_000): string {
  const text = bombs.get(joints) ?? chainOf(joints);
  bombs.set(joints, text);
  return text;
}

function chainOf(joints: number): string {
  const nodes = Array.from({ length: joints }, (_, at) => ({
    name: `link_${at}`,
    translation: [0, 0.01, 0],
    ...(at + 1 < joints ? { children: [at + 1] } : {}),
  }));
  const skins = [{ joints: nodes.map((_, at) => at) }];
  return JSON.stringify({
    asset: { version: '2.0' },
    scene: 0,
    scenes: [{ nodes: [0] }],
    nodes,
    skins,
  });
}

/** A report without the times that JUnit XML tells, which no two runs have alike. */
function timeless(report: string): string {
  return report.replace(/ time="\d+\.\d+"/g, '');
}

/** A name for a report of each form; that each holds what its format alone gives is a test of its own. */
const REPORTS = ['r.txt', 'r.json', 'r.sarif', 'r.xml', 'r.csv', 'r.md'];

const OUTS = [...REPORTS.flatMap((name) => ['-o', name]), '--replace'];

/** The reports that a run has just written, by the names above. */
function reportsIn(cwd: string): string[] {
  return REPORTS.map((name) => timeless(readFileSync(join(cwd, name), 'utf8')));
}

/** Runs the command once for a report of each form, and gives its exit code and what it wrote. */
async function allReports(cwd: string, ...args: string[]): Promise<AllReports> {
  const { code } = await runHere(cwd, ...args, ...OUTS);
  return { code, texts: reportsIn(cwd) };
}

interface AllReports {
  readonly code: number;
  readonly texts: readonly string[];
}

/** What one process makes of a library alone, for all tests that compare with it. */
const single = ((): (() => Promise<AllReports>) => {
  let made: Promise<AllReports> | null = null;
  return () => {
    made ??= allReports(library(), 'check', '.', '--workers', '1');
    return made;
  };
})();

describe('a list of files', () => {
  it('gives the same bytes for any number of workers, in every format', async () => {
    const cwd = library();
    const first = await single();
    expect(first.code).toBe(3);
    for (const text of first.texts) expect(text).toMatch(/a( |%20)bad( |%20)heron\.glb/);
    for (const n of ['2', '5'])
      expect(await allReports(cwd, 'check', '.', '--workers', n)).toEqual(first);
  }, 60_000);

  it('a file that takes too long is one unreadable line, and the others are checked', () => {
    const cwd = tempFolder({
      'a.glb': buildGlb('heron'),
      'b.gltf': bomb(),
      'c.glb': buildGlb('mule'),
    });
    const { code, stdout } = run(cwd, 'check', '.', '--time-limit', '1', '-f', 'json');
    const { assets } = JSON.parse(stdout) as Report;
    expect([code, assets.map(({ verdict }) => verdict)]).toEqual([
      3,
      ['sound', 'unreadable', 'sound'],
    ]);
    expect(assets[1]?.unreadable?.reason).toContain('longer than the limit of 1 s');
  }, 60_000);

  it('a file that takes too much memory is one unreadable line, and the others are checked', () => {
    const cwd = tempFolder({
      'a.glb': buildGlb('heron'),
      'b.gltf': bomb(),
      'c.glb': buildGlb('mule'),
    });
    const { code, stdout } = run(cwd, 'check', '.', '--memory-limit', '64', '-f', 'json');
    const { assets } = JSON.parse(stdout) as Report;
    expect([code, assets.map(({ verdict }) => verdict)]).toEqual([
      3,
      ['sound', 'unreadable', 'sound'],
    ]);
    expect(assets[1]?.unreadable?.reason).toContain('more memory than the limit of 64 MiB');
  }, 60_000);

  it.each(['SIGINT', 'SIGTERM'] as const)(
    '%s ends it within a second, with a whole report of what was done',
    async (signal) => {
      const cwd = tempFolder();
      const heron = buildGlb('heron');
      for (let at = 0; at < 1500; at++) writeFileSync(join(cwd, `h${at}.glb`), heron);
      const child = spawn(process.execPath, [bin, 'check', '.', '-f', 'json', '-o', 'r.json'], {
        cwd,
      });
      let stderr = '';
      child.stderr.on('data', (part) => {
        stderr += String(part);
      });
      // Some are surely done, and surely not all.
      const begun = (): boolean =>
        readdirSync(cwd)
          .filter((name) => name.endsWith('.part'))
          .some(
            (name) => (statSync(join(cwd, name), { throwIfNoEntry: false })?.size ?? 0) > 100_000,
          );
      while (!begun() && child.exitCode === null)
        await new Promise((resolve) => setTimeout(resolve, 20));
      expect([child.exitCode, stderr]).toEqual([null, '']);
      const start = Date.now();
      child.kill(signal);
      const code = await new Promise((resolve) => child.on('exit', resolve));
      expect(Date.now() - start).toBeLessThan(1000);
      expect(code).toBe(130);
      const report = JSON.parse(readFileSync(join(cwd, 'r.json'), 'utf8')) as Report;
      expect(report.partial).toEqual({ checked: report.assets.length, of: 1500 });
      // What was not looked at may be unsound.
      expect(report.verdict).toBeNull();
      // What was under way is left out, and not called unreadable.
      expect(report.totals.verdicts).toEqual({
        sound: report.assets.length,
        unsound: 0,
        unreadable: 0,
        'nothing to judge': 0,
      });
      expect(report.assets.length).toBeGreaterThan(0);
      expect(report.assets.length).toBeLessThan(1500);
      expect(stderr).toContain('the run was stopped');
      expect(readdirSync(cwd).filter((name) => name.endsWith('.part'))).toEqual([]);
    },
    60_000,
  );
});

interface Process {
  readonly pid: number;
  readonly parent: number;
  /** Its state in one letter: Z for one that has ended and was not asked after. */
  readonly state: string;
}

/** All processes, as the system's own files tell; by `ps` where it has none. */
function processes(): Process[] {
  if (!existsSync('/proc/self/stat')) {
    const { stdout } = spawnSync('ps', ['-e', '-o', 'pid=,ppid=,stat='], { encoding: 'utf8' });
    return stdout.split('\n').map((line) => {
      const [pid, parent, state = ''] = line.trim().split(/\s+/);
      return { pid: Number(pid), parent: Number(parent), state: state.charAt(0) };
    });
  }
  return readdirSync('/proc').flatMap((name) => {
    try {
      // proc(5): the name of the command, in brackets, can hold anything.
      const text = readFileSync(`/proc/${name}/stat`, 'utf8');
      const [state = '', parent] = text.slice(text.lastIndexOf(')') + 2).split(' ');
      return [{ pid: Number(name), parent: Number(parent), state }];
    } catch {
      // No process, or one that is gone.
      return [];
    }
  });
}

function childrenOf(pid: number | undefined): number[] {
  return processes().flatMap((item) => (item.parent === pid ? [item.pid] : []));
}

function isAlive(pid: number): boolean {
  return processes().some((item) => item.pid === pid && item.state !== 'Z');
}

async function until(holds: () => boolean): Promise<void> {
  while (!holds()) await new Promise((resolve) => setTimeout(resolve, 20));
}

describe('workers', () => {
  /** So many that workers are at it when they are looked for. */
  const HERONS = 70;

  function manyHerons(): string {
    const cwd = tempFolder();
    const heron = buildGlb('heron');
    for (let at = 0; at < HERONS; at++) writeFileSync(join(cwd, `h${at}.glb`), heron);
    return cwd;
  }

  it('one that is killed from outside takes no file with it', async () => {
    const cwd = manyHerons();
    const child = spawn(process.execPath, [bin, 'check', '.', '--workers', '2', '-o', 'r.json'], {
      cwd,
    });
    const ended = new Promise((resolve) => child.on('exit', resolve));
    await until(() => childrenOf(child.pid).length === 2 || child.exitCode !== null);
    const [first] = childrenOf(child.pid);
    expect(first).toBeGreaterThan(0);
    process.kill(first ?? Number.NaN, 'SIGKILL');
    expect(await ended).toBe(0);
    const report = JSON.parse(readFileSync(join(cwd, 'r.json'), 'utf8')) as Report;
    expect(report.totals.verdicts).toMatchObject({ sound: HERONS, unsound: 0, unreadable: 0 });
  }, 60_000);

  it.each([
    { by: 'its end', signal: null, flags: [], codes: [0] },
    { by: 'Ctrl-C', signal: 'SIGINT', flags: ['--cache', 'kept'], codes: [130] },
    // Workers may be there before the list is, when Ctrl-C ends the run as it ends any process.
    { by: 'Ctrl-C at any time', signal: 'SIGINT', flags: [], codes: [130, null] },
    { by: 'a kill', signal: 'SIGKILL', flags: [], codes: [null] },
  ] as const)(
    'are gone when the run is, ended by $by',
    async ({ signal, flags, codes }) => {
      const child = spawn(process.execPath, [bin, 'check', '.', '--workers', '2', ...flags], {
        cwd: manyHerons(),
        stdio: 'ignore',
        detached: true,
      });
      const ended = new Promise((resolve) => child.on('exit', resolve));
      await until(() => childrenOf(child.pid).length === 2 || child.exitCode !== null);
      const workers = childrenOf(child.pid);
      expect(workers).toHaveLength(2);
      // Ctrl-C reaches all of them.
      if (signal === 'SIGINT') process.kill(-(child.pid ?? Number.NaN), signal);
      if (signal === 'SIGKILL') child.kill(signal);
      expect(codes).toContain(await ended);
      // One that lost its parent sees it when its present file is done.
      await until(() => !workers.some(isAlive));
    },
    60_000,
  );
});

describe('a file alone', () => {
  /** A file of 0.2 MB whose many rigs take seconds all together. */
  function manyRigs(): string {
    const lanterns = Array.from({ length: 4000 }, (_, at) => ({ name: `lantern ${at}` }));
    const nodes = [...lanterns, { children: lanterns.map((_, at) => at) }];
    const skins = lanterns.map((_, at) => ({ joints: [at] }));
    return JSON.stringify({ asset: { version: '2.0' }, nodes, skins });
  }

  it.each([
    ['time, in this process', manyRigs, ['--time-limit', '1'], 'longer than the limit of 1 s'],
    ['time, in a worker', bomb, ['--time-limit', '1'], 'longer than the limit of 1 s'],
    ['memory', bomb, ['--memory-limit', '64'], 'more memory than the limit of 64 MiB'],
  ])(
    'that takes too much %s is one unreadable line in every report',
    (_, make, limit, words) => {
      const cwd = tempFolder({ 'b.gltf': make() });
      const { code, stderr } = run(cwd, 'check', 'b.gltf', ...limit, '-o', 'r.json', '-o', 'r.xml');
      expect(code).toBe(3);
      expect(stderr).toMatch(
        /^trysquare: b\.gltf cannot be read: checking it takes [^\n]*\n[^\n]*\n$/,
      );
      const { assets } = JSON.parse(readFileSync(join(cwd, 'r.json'), 'utf8')) as Report;
      expect(assets.map(({ verdict }) => verdict)).toEqual(['unreadable']);
      expect(assets[0]?.unreadable?.reason).toContain(words);
      expect(readFileSync(join(cwd, 'r.xml'), 'utf8')).toContain(words);
    },
    60_000,
  );

  it('on standard input has the same limits', () => {
    const { status, stdout } = spawnSync(
      process.execPath,
      [bin, 'check', '-', '--memory-limit', '64'],
      { input: bomb(), encoding: 'utf8' },
    );
    expect([status, stdout.replace(/\s+/g, ' ')]).toEqual([
      3,
      expect.stringContaining('more memory than the limit of 64 MiB'),
    ]);
  }, 60_000);

  it('that is large gives the report that it gives among others', () => {
    const cwd = tempFolder({ 'a.gltf': bomb(11_000), 'b.glb': buildGlb('heron') });
    const alone = run(cwd, 'check', 'a.gltf', '-f', 'json');
    const among = run(cwd, 'check', '.', '-f', 'json');
    const assetOf = ({ stdout }: { stdout: string }): unknown =>
      (JSON.parse(stdout) as Report).assets[0];
    expect(assetOf(alone)).toEqual({ ...Object(assetOf(among)), path: 'a.gltf' });
    expect(alone.stderr).toBe('');
  }, 60_000);

  it('is left at once by a stop, with nothing behind', async () => {
    const cwd = tempFolder({ 'b.gltf': manyRigs() });
    const args = [bin, 'check', 'b.gltf', '-o', 'r.json', '-o', 'r.xml'];
    const child = spawn(process.execPath, args, { cwd });
    await new Promise((resolve) => setTimeout(resolve, 700));
    expect(child.exitCode).toBeNull();
    const start = Date.now();
    child.kill('SIGINT');
    await new Promise((resolve) => child.on('exit', resolve));
    expect(Date.now() - start).toBeLessThan(1000);
    expect(child.signalCode).toBe('SIGINT');
    expect(readdirSync(cwd)).toEqual(['b.gltf']);
  });

  it('in a worker is left at once by a stop, and the worker is gone, too', async () => {
    const cwd = tempFolder({ 'b.gltf': bomb() });
    const args = [bin, 'check', 'b.gltf', '--memory-limit', '4096', '-o', 'r.json'];
    const child = spawn(process.execPath, args, { cwd });
    await until(() => childrenOf(child.pid).length === 1 || child.exitCode !== null);
    const workers = childrenOf(child.pid);
    await new Promise((resolve) => setTimeout(resolve, 300));
    const start = Date.now();
    child.kill('SIGINT');
    const code = await new Promise((resolve) => child.on('exit', resolve));
    expect(Date.now() - start).toBeLessThan(1000);
    expect([code, workers.length]).toEqual([130, 1]);
    await until(() => !workers.some(isAlive));
    const report = JSON.parse(readFileSync(join(cwd, 'r.json'), 'utf8')) as Report;
    expect(report.partial).toEqual({ checked: 0, of: 1 });
  });
});

describe('the cache', () => {
  it('gives the same report the second time, without checking again', async () => {
    const cwd = library();
    const args = ['check', '.', '-f', 'json', '--cache', 'kept'];
    const first = await runCliIn(cwd, ...args);
    const second = await runCliIn(cwd, ...args);
    expect(second).toEqual(first);
    expect(second.stdout).toBe((await runCliIn(cwd, 'check', '.', '-f', 'json')).stdout);
    // What is kept is what is given out: a report put in its place is taken for the asset's own.
    const sarif = await runCliIn(cwd, 'check', '.', '-f', 'sarif', '--cache', 'kept');
    expect(sarif.stdout).toBe((await runCliIn(cwd, 'check', '.', '-f', 'sarif')).stdout);
  }, 60_000);

  it('a damaged entry is made anew, and one of other settings or content is none', async () => {
    const cwd = tempFolder({ 'heron.glb': buildGlb('heron') });
    const args = ['check', 'heron.glb', '-f', 'json', '--cache', 'kept'];
    const { stdout } = await runCliIn(cwd, ...args);
    // Reports lie in folders of their own; beside these, a slow run leaves a list of files.
    const entries = (): string[] =>
      readdirSync(join(cwd, 'kept'), { recursive: true })
        .map(String)
        .filter((name) => /[\\/].*\.json$/.test(name));
    const [entry = ''] = entries();
    const path = join(cwd, 'kept', entry);
    const kept = readFileSync(path, 'utf8');
    for (const damaged of [
      '',
      kept.slice(0, -5),
      kept.replace('"sound"', '"unsound"'),
      `${kept}x`,
    ]) {
      writeFileSync(path, damaged);
      expect((await runCliIn(cwd, ...args)).stdout).toBe(stdout);
      expect(readFileSync(path, 'utf8')).toBe(kept);
    }
    await runCliIn(cwd, ...args, '--skip', 'axis');
    writeFileSync(join(cwd, 'heron.glb'), buildGlb('mule'));
    const other = JSON.parse((await runCliIn(cwd, ...args)).stdout) as Report;
    // The mule's topmost joint.
    expect(other.assets[0]?.rigs[0]?.name).toBe('trunk');
    expect(entries()).toHaveLength(3);
  }, 60_000);

  it('that cannot be written to is told once, and nothing else changes', async () => {
    const cwd = library();
    mkdirSync(join(cwd, 'kept'));
    // No folder can be made where a file is.
    for (let at = 0; at < 256; at++)
      writeFileSync(join(cwd, 'kept', at.toString(16).padStart(2, '0')), '');
    const { stdout, stderr, code } = await runHere(
      cwd,
      'check',
      'cast',
      '-f',
      'json',
      '--cache',
      'kept',
    );
    expect(
      stderr.match(/the cache kept cannot be written to: .*; the run continues/g),
    ).toHaveLength(1);
    expect({ stdout, code }).toEqual({
      stdout: (await runCliIn(cwd, 'check', 'cast', '-f', 'json')).stdout,
      code: 1,
    });
  }, 60_000);

  it('does not hash again what has not changed, and sees a change that keeps size and time', async () => {
    const cwd = library();
    const args = ['check', '.', '-f', 'json', '--cache', 'kept'];
    const first = await runCliIn(cwd, ...args);
    // The times of the files have to be far enough from now to be trusted.
    const now = Date.now.bind(Date);
    const clock = vi.spyOn(Date, 'now').mockImplementation(() => now() + 3200);
    onTestFinished(() => clock.mockRestore());
    expect(await runCliIn(cwd, ...args)).toEqual(first);
    const index = readFileSync(join(cwd, 'kept/files.json'), 'utf8');
    expect(index).toContain(join(cwd, 'cast/heron.glb'));
    expect(await runCliIn(cwd, ...args)).toEqual(first);
    const path = join(cwd, 'cast/heron.glb');
    const { atime, mtime, size } = statSync(path);
    // Of the right length, and no rig any more.
    writeFileSync(path, Buffer.from(readFileSync(path)).fill(0, 12));
    utimesSync(path, atime, mtime);
    expect(statSync(path)).toMatchObject({ size, mtime });
    const { assets } = JSON.parse((await runCliIn(cwd, ...args)).stdout) as Report;
    expect(assets.find((asset) => asset.path === 'cast/heron.glb')?.verdict).toBe('unreadable');
  }, 60_000);

  it('is shared by runs at the same time', async () => {
    const cwd = library();
    const runs = await Promise.all(
      [1, 2, 3].map(
        () =>
          new Promise<string>((resolve) => {
            const child = spawn(
              process.execPath,
              [bin, 'check', '.', '-f', 'json', '--cache', 'kept'],
              { cwd },
            );
            let text = '';
            child.stdout.on('data', (part) => {
              text += String(part);
            });
            child.on('close', () => resolve(text));
          }),
      ),
    );
    expect(new Set(runs).size).toBe(1);
    const left = readdirSync(join(cwd, 'kept'), { recursive: true }).map(String);
    expect(left.filter((name) => name.endsWith('.part'))).toEqual([]);
  }, 60_000);

  it('that is a file, or a link to nothing, is told for what it is', async () => {
    const cwd = tempFolder({ 'heron.glb': buildGlb('heron'), kept: '' });
    symlinkSync('nowhere', join(cwd, 'link'));
    const words = async (name: string) =>
      (await runCliIn(cwd, 'check', 'heron.glb', '--cache', name)).stderr;
    expect(await words('kept')).toContain('kept cannot be made: it is a file; name another folder');
    expect(await words('link')).toContain(
      'link cannot be made: it is a link that leads to no folder',
    );
  });

  it('a folder that cannot be made is told before anything is checked', async () => {
    const cwd = tempFolder({ 'heron.glb': buildGlb('heron'), file: 'no folder' });
    const { code, stderr } = await runCliIn(cwd, 'check', 'heron.glb', '--cache', 'file/cache');
    expect([code, stderr]).toEqual([2, expect.stringContaining('file/cache cannot be made')]);
  });
});

describe('parts', () => {
  it.each([1, 2, 9])(
    '%i parts merged are the single run, byte for byte',
    async (of) => {
      const cwd = library();
      const files = Array.from({ length: of }, (_, at) => `part-${at + 1}.report`);
      for (const [at, file] of files.entries())
        await runCli(['check', '.', '--part', `${at + 1}/${of}`, '-f', 'json', '-o', file], {
          cwd,
        });
      // No shell is between, so the pattern comes as it is.
      for (const parts of [[...files].reverse(), ['part-*.report']]) {
        const { code } = await runCli(['merge', ...parts, ...OUTS], { cwd });
        expect({ code, texts: reportsIn(cwd) }).toEqual(await single());
      }
    },
    120_000,
  );

  it('refuses what does not belong together, by name', async () => {
    const cwd = threeRigs();
    const make = (file: string, ...args: string[]): Promise<unknown> =>
      runCli(['check', 'cast', '-f', 'json', '-o', file, ...args], { cwd });
    await make('one.json', '--part', '1/3');
    await make('two.json', '--part', '2/3');
    await make('two-of-two.json', '--part', '2/2');
    await make('skipped.json', '--part', '3/3', '--skip', 'axis');
    await make('narrow.json', '--part', '3/3', '--skip', 'axis.up');
    await make('whole.json');
    await runCli(['check', 'cast/a bad heron.glb', '-o', 'faulty.json'], { cwd });
    await make('stricter.json', '--part', '3/3', '--failing', 'note');
    copyFileSync(join(cwd, 'two.json'), join(cwd, 'again.json'));
    const damaged = (
      file: string,
      change: (report: { part: unknown; assets: unknown }) => void,
    ) => {
      const report = JSON.parse(readFileSync(join(cwd, 'two.json'), 'utf8')) as Report;
      change(report as { part: unknown; assets: unknown });
      writeFileSync(join(cwd, file), JSON.stringify(report));
    };
    damaged('far.json', (report) => {
      report.part = { ...(report.part as object), index: 5 };
    });
    damaged('many.json', (report) => {
      report.part = { ...(report.part as object), of: 1_000_000_000 };
    });
    writeFileSync(
      join(cwd, 'strange.json'),
      readFileSync(join(cwd, 'faulty.json'), 'utf8').replaceAll('"axis.up"', '"axis.stray"'),
    );
    const cases: [string[], string][] = [
      [['one.json', 'two.json'], 'part 3 of 3 is missing'],
      [['one.json'], 'parts 2, 3 of 3 are missing'],
      [
        ['one.json', 'two.json', 'again.json'],
        'part 2 of 3 is given twice: two.json and again.json',
      ],
      [['one.json', 'two-of-two.json'], 'parts of different lists'],
      [['one.json', 'two.json', 'skipped.json'], 'made with a different choice of families: '],
      [['one.json', 'two.json', 'narrow.json'], 'made with a different choice of rules: '],
      [['one.json', 'two.json', 'stricter.json'], 'a different failing level: error and note'],
      [['far.json'], 'the report far.json says that it is part 5 of 3, which is not possible'],
      [['many.json'], ' and 999999979 more of 1000000000 are missing'],
      [['strange.json'], 'strange.json has a finding of axis.stray, a rule that'],
      [['one.json', 'whole.json'], 'one is a part of a list, the other is a whole'],
      [['whole.json', 'whole.json'], 'is both in whole.json and in whole.json'],
      [['nowhere.json'], 'nowhere.json'],
      [['nowhere-*.json'], 'no report fits the pattern nowhere-*.json'],
      [['cast/heron.glb'], 'cast/heron.glb is not JSON'],
    ];
    for (const [files, words] of cases) {
      const { code, stderr } = await runCli(['merge', ...files], { cwd });
      expect([files, code, stderr]).toEqual([files, 2, expect.stringContaining(words)]);
    }
  }, 60_000);

  it('standard input cannot be shared out', async () => {
    const { code, stderr } = await runCliIn(tempFolder(), 'check', '-', '--part', '1/2');
    expect([code, stderr]).toEqual([2, expect.stringContaining('standard input is one asset')]);
  });
});

describe('several reports in one run', () => {
  it('are written each in the form its ending names, and one to standard output', async () => {
    const cwd = threeRigs();
    const { stdout, stderr } = await runCli(['check', 'cast', ...OUTS, '-o', '-'], { cwd });
    expect(stderr).toContain(`the reports are in ${REPORTS.join(', ')}`);
    const beside = reportsIn(cwd);
    const formats = ['text', 'json', 'sarif', 'junit', 'csv', 'markdown'];
    for (const [at, format] of formats.entries()) {
      const alone = await runCli(['check', 'cast', '-f', format], { cwd });
      expect([format, beside[at] === timeless(alone.stdout)]).toEqual([format, true]);
      if (format === 'text') expect(stdout).toBe(alone.stdout);
    }
  }, 60_000);

  it('one place is one target, also through a link', async () => {
    const cwd = tempFolder({ 'heron.glb': buildGlb('heron') });
    symlinkSync('.', join(cwd, 'self'));
    const { code, stderr } = await runHere(
      cwd,
      'check',
      'heron.glb',
      '-o',
      'b.json',
      '-o',
      'self/b.json',
    );
    expect([code, stderr]).toEqual([2, expect.stringContaining('--out names self/b.json twice')]);
  });

  it('a target that cannot be written leaves none of them half written', async () => {
    const cwd = tempFolder({ 'heron.glb': buildGlb('heron') });
    const { code } = await runHere(
      cwd,
      'check',
      'heron.glb',
      '-o',
      'good.json',
      '-o',
      'no/folder/bad.json',
    );
    expect(code).toBe(2);
    expect(readdirSync(cwd)).toEqual(['heron.glb']);
  });
});
