import {
  existsSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { PassThrough, Readable } from 'node:stream';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { main } from '../../src/cli/main.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

/** Any script will do for a page: what that does is tested in a browser. */
const SCRIPT = join(import.meta.dirname, '../support/temp-folder.ts');
const sound = buildGlb('heron');
const faulty = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

/** A watched check under way, whose output can be waited for. */
class Watched {
  private text = '';
  private heard = '';
  private stop: () => void = () => undefined;
  private changed: () => void = () => undefined;
  readonly code: Promise<number>;

  constructor(cwd: string, ...args: string[]) {
    const [stdout, stderr] = [new PassThrough(), new PassThrough()];
    stdout.on('data', (part) => {
      this.text += String(part);
      this.changed();
    });
    stderr.on('data', (part) => {
      this.heard += String(part);
      this.changed();
    });
    this.code = main(['node', 'trysquare', 'check', ...args, '--watch'], {
      stdin: Readable.from([]),
      stdout,
      stderr,
      cwd,
      columns: 100,
      progress: false,
      progressColumns: 80,
      colour: false,
      worker: null,
      pageScript: SCRIPT,
      clock: () => new Date(2026, 0, 1, 9, 5, 7),
      onStop: (stop) => {
        this.stop = stop;
        return () => undefined;
      },
    });
  }

  /** Gives what was written up to and with `words`, and forgets it. */
  async until(words: string, where: 'text' | 'heard' = 'text'): Promise<string> {
    while (!this[where].includes(words))
      await new Promise<void>((resolve) => {
        this.changed = resolve;
      });
    const end = this[where].indexOf(words) + words.length;
    const said = this[where].slice(0, end);
    this[where] = this[where].slice(end);
    return said;
  }

  async end(): Promise<number> {
    this.stop();
    return this.code;
  }
}

// Most of what each takes is waiting until the file system has been still for a while.
describe.concurrent('a watched check', () => {
  it('tells what is new and what is mended when a file is exported again', async ({
    onTestFinished,
  }) => {
    const cwd = tempFolder({ 'heron.glb': sound }, onTestFinished);
    const watched = new Watched(cwd, 'heron.glb');
    await watched.until('watching', 'heard');
    await watched.until('Verdict: sound');
    writeFileSync(join(cwd, 'heron.glb'), faulty);
    expect(await watched.until('as before.')).toContain(
      '09:05:07 heron.glb: unsound; 0 mended, 1 new, 0 as before.',
    );
    await watched.until('ERROR axis.up: "shin_L" is rolled 180°');
    // Exporters also write beside the file and move it there.
    writeFileSync(join(cwd, 'heron.tmp'), sound);
    renameSync(join(cwd, 'heron.tmp'), join(cwd, 'heron.glb'));
    await watched.until('heron.glb: sound; 1 mended, 0 new, 0 as before.');
    await watched.until('mended axis.up at body/thigh_L/shin_L');
    expect(await watched.end()).toBe(0);
  }, 30_000);

  it('survives a file that is half written, and compares with the last whole one', async ({
    onTestFinished,
  }) => {
    const cwd = tempFolder({ 'heron.glb': faulty }, onTestFinished);
    const watched = new Watched(cwd, '.');
    await watched.until('watching', 'heard');
    writeFileSync(join(cwd, 'heron.glb'), sound.slice(0, 5000));
    await watched.until('heron.glb: cannot be read now: the GLB header says');
    writeFileSync(join(cwd, 'heron.glb'), faulty);
    await watched.until('heron.glb: unsound; 0 mended, 0 new, 1 as before.');
    expect(await watched.end()).toBe(1);
  }, 30_000);

  it('sees files come and go, and a standard that changes', async ({ onTestFinished }) => {
    const cwd = tempFolder({ 'heron.glb': sound }, onTestFinished);
    const watched = new Watched(cwd, '.');
    await watched.until('watching', 'heard');
    writeFileSync(join(cwd, 'second.glb'), faulty);
    await watched.until('second.glb: unsound; 1 new, 0 as before.');
    rmSync(join(cwd, 'second.glb'));
    await watched.until('second.glb: gone.');
    writeFileSync(join(cwd, 'trysquare.json'), '{ "conventions": ');
    await watched.until('the standard trysquare.json is wrong', 'heard');
    writeFileSync(join(cwd, 'trysquare.json'), '{ "conventions": { "aim": "+X" } }');
    await watched.until('heron.glb: unsound; 0 mended,');
    expect(await watched.end()).toBe(1);
  }, 30_000);

  it('sees a file that a link leads to change, and tells once of a link that leads out', async ({
    onTestFinished,
  }) => {
    const cwd = tempFolder(
      { 'in/.kept/4f': sound, 'in/mule.glb': sound, 'out/heron.glb': sound },
      onTestFinished,
    );
    symlinkSync('.kept/4f', join(cwd, 'in/heron.glb'));
    symlinkSync('../out', join(cwd, 'in/out'));
    const watched = new Watched(cwd, 'in');
    await watched.until('watching', 'heard');
    await watched.until('in/out: unreadable');
    writeFileSync(join(cwd, 'in/.kept/4f'), faulty);
    expect(await watched.until('in/heron.glb: unsound; 0 mended, 1 new')).not.toContain('in/out:');
    writeFileSync(join(cwd, 'in/mule.glb'), faulty);
    expect(await watched.until('in/mule.glb: unsound; 0 mended, 1 new')).not.toContain('in/out:');
    expect(await watched.end()).toBe(3);
  }, 30_000);

  it('sees files of a pattern and a standard that lie elsewhere', async ({ onTestFinished }) => {
    const cwd = tempFolder(
      {
        'in/heron.glb': sound,
        'house/own.json': '{}',
        'sub/note.txt': '',
      },
      onTestFinished,
    );
    const watched = new Watched(join(cwd, 'sub'), '../in/*.glb', '--standard', '../house/own.json');
    await watched.until('watching', 'heard');
    writeFileSync(join(cwd, 'in/heron.glb'), faulty);
    await watched.until('../in/heron.glb: unsound; 0 mended, 1 new, 0 as before.');
    writeFileSync(join(cwd, 'house/own.json'), '{ "failing": "never" }');
    await watched.until('../in/heron.glb: sound; 0 mended, 0 new, 1 as before.');
    expect(await watched.end()).toBe(0);
  }, 30_000);

  it('sees a standard above the folder that is watched change', async ({ onTestFinished }) => {
    const files = {
      'house/trysquare.json': '{ "failing": "never" }',
      'house/stage/trysquare.json': '{}',
      'house/stage/heron.glb': faulty,
      'sub/note.txt': '',
    };
    const cwd = tempFolder(files, onTestFinished);
    const watched = new Watched(join(cwd, 'sub'), '../house/stage');
    await watched.until('watching', 'heard');
    writeFileSync(join(cwd, 'house/trysquare.json'), '{}');
    await watched.until('../house/stage/heron.glb: unsound; 0 mended, 0 new, 1 as before.');
    expect(await watched.end()).toBe(1);
  }, 30_000);

  it('ends with the code of the last state, and a folder without assets is no file', async ({
    onTestFinished,
  }) => {
    const cwd = tempFolder({ 'note.txt': '' }, onTestFinished);
    const watched = new Watched(cwd, '.');
    await watched.until('watching', 'heard');
    writeFileSync(join(cwd, 'heron.glb'), sound);
    await watched.until('heron.glb: sound');
    writeFileSync(join(cwd, 'heron.glb'), sound.slice(0, 5000));
    expect(await watched.until('heron.glb: cannot be read now')).not.toContain('gone');
    expect(await watched.end()).toBe(3);
  }, 30_000);

  it('keeps a page current, with what the last export mended, and leaves a plain one at the end', async ({
    onTestFinished,
  }) => {
    const cwd = tempFolder({ 'heron.glb': faulty, 'second.glb': sound }, onTestFinished);
    const read = (name: string): string => readFileSync(join(cwd, name), 'utf8');
    const stateOf = (): string =>
      (/width="(\d+)" height="(\d+)"/.exec(read('heron.html.state.svg')) ?? []).slice(1).join('x');
    const watched = new Watched(cwd, 'heron.glb', '--out', 'heron.html');
    await watched.until('watching', 'heard');
    // Text goes to the terminal as it does without a page.
    await watched.until('Verdict: unsound');
    const first = stateOf();
    expect(read('heron.html')).toContain(`data-file="heron.html.state.svg" data-state="${first}"`);
    expect(read('heron.html')).toContain('First check, at 09:05:07.');
    writeFileSync(join(cwd, 'heron.glb'), sound);
    await watched.until('1 mended, 0 new, 0 as before.');
    await watched.until('mended axis.up');
    expect(stateOf()).not.toBe(first);
    expect(read('heron.html')).toContain(`data-state="${stateOf()}"`);
    expect(read('heron.html')).toContain(
      '<li class="mended"><strong>Mended</strong> <code>axis.up</code> at body/thigh_L/shin_L</li>',
    );
    expect(read('heron.html')).toContain('id="sheet"');
    // Half a file leaves the page of the last whole one, with a word.
    writeFileSync(join(cwd, 'heron.glb'), sound.slice(0, 5000));
    await watched.until('cannot be read now');
    expect(read('heron.html')).toMatch(
      /The export of 09:05:07 cannot be read: the GLB header says/,
    );
    expect(read('heron.html')).toContain('id="sheet"');
    expect(read('heron.html')).toContain(`data-state="${stateOf()}"`);
    expect(await watched.end()).toBe(3);
    expect(read('heron.html')).not.toMatch(/id="live"|state\.svg|img-src data: /);
    expect(readdirSync(cwd).sort()).toEqual(['heron.glb', 'heron.html', 'second.glb']);
  }, 30_000);

  it('keeps the page of one file alone, and writes over nothing unasked', async ({
    onTestFinished,
  }) => {
    const files = { 'heron.glb': sound, 'mule.glb': sound, 'a.html.state.svg': 'mine' };
    const cwd = tempFolder(files, onTestFinished);
    const check = (...args: string[]) =>
      runCli(['check', ...args, '--watch'], { cwd, pageScript: SCRIPT });
    const many = await check('.', '--out', 'b.html');
    expect([many.code, many.stderr]).toEqual([
      2,
      'trysquare: --watch keeps the page of one file current, and 2 were found; name one file, or leave out --out\n',
    ]);
    const taken = await check('heron.glb', '--out', 'a.html');
    expect(taken.code).toBe(2);
    expect(taken.stderr).toContain('a.html.state.svg exists already; add --replace');
    expect(existsSync(join(cwd, 'a.html')) || existsSync(join(cwd, 'b.html'))).toBe(false);
    expect(readFileSync(join(cwd, 'a.html.state.svg'), 'utf8')).toBe('mine');
  });

  it('refuses what does not go with it', async ({ onTestFinished }) => {
    const cwd = tempFolder({ 'heron.glb': sound }, onTestFinished);
    for (const args of [
      ['-'],
      ['heron.glb', '-o', 'r.json'],
      ['heron.glb', '-f', 'json'],
      ['heron.glb', '-o', 'a.html', '-o', 'b.html'],
      ['heron.glb', '-o', 'a.html', '-f', 'html'],
    ]) {
      const { code, stderr } = await runCli(['check', ...args, '--watch'], { cwd });
      expect([args, code]).toEqual([args, 2]);
      expect(stderr).toMatch(/watch/);
    }
  });
});
