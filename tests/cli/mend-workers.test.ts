import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { built } from '../support/built.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

vi.setConfig({ testTimeout: 60_000 });

const bin = join(built.folder, 'bin/trysquare.cjs');
const flipped = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

const FILES = { 'cast/a.glb': flipped, 'cast/b.glb': flipped, 'cast/c.glb': buildGlb('mule') };
const INTO = ['mend', 'cast', '--out-dir', 'out', '--workers', '2'];

/** Kills a worker, or it and the command, half through the first write of an asset; once where `once` is said. */
const KILL = {
  'kill.cjs': `const fs = require('node:fs');
    const [what, marker] = process.env.KILL.split(' ');
    const { writeSync, openSync } = fs;
    if (process.argv[1].endsWith('worker.cjs')) {
      fs.writeSync = (file, bytes, from, ...others) => {
        if (bytes.length > 1000 && (what !== 'once' || !fs.existsSync(marker))) {
          openSync(marker, 'a');
          writeSync(file, bytes, 0, bytes.length >> 1);
          if (what === 'both') process.kill(process.ppid, 'SIGKILL');
          process.kill(process.pid, 'SIGKILL');
        }
        return writeSync(file, bytes, from, ...others);
      };
    }`,
};

function runKilled(cwd: string, what: 'once' | 'always' | 'both') {
  const kill = tempFolder(KILL);
  const marker = join(kill, 'marker');
  const run = spawnSync(process.execPath, [bin, ...INTO], {
    cwd,
    encoding: 'utf8',
    env: {
      ...process.env,
      KILL: `${what} ${marker}`,
      NODE_OPTIONS: `--require ${join(kill, 'kill.cjs')}`,
    },
  });
  // Whoever was killed has left it.
  expect(existsSync(marker)).toBe(true);
  return run;
}

const filesIn = (folder: string): string[] =>
  existsSync(folder)
    ? readdirSync(folder)
        .filter((name) => !name.endsWith('.part'))
        .sort()
    : [];

describe('workers that mend', () => {
  it('write what the command by itself writes, and tell it in the order of the list', async () => {
    const cwd = tempFolder(FILES);
    const { status, stdout, stderr } = spawnSync(process.execPath, [bin, ...INTO], {
      cwd,
      encoding: 'utf8',
    });
    const alone = await runCli(['mend', 'cast', '--out-dir', 'alone'], { cwd });
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toBe(alone.stdout.replaceAll('alone/', 'out/'));
    expect(filesIn(join(cwd, 'out'))).toEqual(['a.glb', 'b.glb']);
    for (const name of ['a.glb', 'b.glb'])
      expect(
        readFileSync(join(cwd, 'out', name)).equals(readFileSync(join(cwd, 'alone', name))),
      ).toBe(true);
  });

  it('that are killed inside a write leave nothing torn; the asset is mended by another', () => {
    const cwd = tempFolder(FILES);
    const { status, stdout } = runKilled(cwd, 'once');
    expect([status, stdout]).toEqual([0, expect.stringContaining('2 mended and written')]);
    expect(filesIn(join(cwd, 'out'))).toEqual(['a.glb', 'b.glb']);
  });

  it('that are killed each time are told, and the run goes on', () => {
    const cwd = tempFolder(FILES);
    const { status, stdout } = runKilled(cwd, 'always');
    expect(status).toBe(3);
    expect(stdout).toMatch(
      /^cast\/a\.glb cannot be mended: the process that mends it was killed twice \(SIGKILL\)/m,
    );
    expect(stdout).toMatch(/^cast\/c\.glb: sound/m);
    expect(filesIn(join(cwd, 'out'))).toEqual([]);
    for (const [name, bytes] of Object.entries(FILES))
      expect(readFileSync(join(cwd, name)).equals(Buffer.from(bytes))).toBe(true);
  });

  it('and a command that are killed together leave nothing torn, and another run makes all of it', () => {
    const cwd = tempFolder(FILES);
    expect(runKilled(cwd, 'both').signal).toBe('SIGKILL');
    expect(filesIn(join(cwd, 'out'))).toEqual([]);
    const { status } = spawnSync(process.execPath, [bin, ...INTO], { cwd });
    expect([status, filesIn(join(cwd, 'out'))]).toEqual([0, ['a.glb', 'b.glb']]);
  });

  it('are ended when the user stops the run, which says how far it came', async () => {
    const cast = Object.fromEntries(
      Array.from({ length: 40 }, (_, at) => [`cast/${at + 10}.glb`, flipped]),
    );
    const cwd = tempFolder(cast);
    const run = spawn(process.execPath, [bin, ...INTO, '--report', 'mend.json'], { cwd });
    let [out, err] = ['', ''];
    run.stdout.on('data', (part) => {
      if (out === '') run.kill('SIGINT');
      out += String(part);
    });
    run.stderr.on('data', (part) => {
      err += String(part);
    });
    const [code] = await once(run, 'close');
    expect([code, err]).toEqual([
      130,
      expect.stringMatching(/^trysquare: the run was stopped: \d+ of 40 mended\n$/),
    ]);
    expect(out).toMatch(/^\d+ assets?: \d+ mended and written/m);
    const report = JSON.parse(readFileSync(join(cwd, 'mend.json'), 'utf8')) as {
      partial: { of: number };
    };
    expect(report.partial.of).toBe(40);
  });

  it('end a mend that takes too much memory, and the others are mended', () => {
    const greedy = build('mule', { container: 'gltf-embedded' }).files.get('mule.gltf');
    const json = JSON.parse(Buffer.from(greedy ?? []).toString()) as object;
    const extras = Array.from({ length: 500_000 }, (_, at) => ({ at }));
    const cwd = tempFolder({ ...FILES, 'cast/greedy.gltf': JSON.stringify({ ...json, extras }) });
    const args = [...INTO, '--memory-limit', '32'];
    const { status, stdout } = spawnSync(process.execPath, [bin, ...args], {
      cwd,
      encoding: 'utf8',
    });
    expect([status, stdout]).toEqual([
      3,
      expect.stringContaining(
        'cast/greedy.gltf cannot be mended: mending it takes more memory than the limit of 32 MiB; set another limit with --memory-limit.',
      ),
    ]);
    expect(filesIn(join(cwd, 'out'))).toEqual(['a.glb', 'b.glb']);
  });
});
