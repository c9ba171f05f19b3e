import { mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { UsageError } from '../../../src/asset/errors.js';
import { type Piece, writeTogether } from '../../../src/cli/output/write-together.js';
import { withFaults } from '../../support/faulty-fs.js';
import { tempFolder } from '../../support/temp-folder.js';

/** What an asset and the files that it names hold, by the run that wrote them. */
const contents = (run: string): Record<string, string> => ({
  'skins/skin.png': `the skin ${run}`,
  'heron.bin': `the buffer ${run}`,
  'heron.gltf': `the heron ${run}`,
});

/** The files of a mend, the asset last; the skin is copied from beside. */
function pieces(cwd: string, over: boolean): Piece[] {
  mkdirSync(join(cwd, 'cast'), { recursive: true });
  return Object.entries(contents('of now')).map(([name, text]) => {
    const from = join(cwd, 'cast', name.replace('/', '-'));
    if (name.endsWith('.png')) writeFileSync(from, text);
    const content = name.endsWith('.png') ? { copyOf: from } : Buffer.from(text);
    return { to: join(cwd, 'out', name), words: `out/${name}`, content, over };
  });
}

/** What lies in the folder that is written to, parts in the making included. */
function found(cwd: string): Record<string, string> {
  const out = join(cwd, 'out');
  const entries = readdirSync(out, { recursive: true, withFileTypes: true });
  return Object.fromEntries(
    entries
      .filter((entry) => entry.isFile())
      .map((entry) => join(entry.parentPath, entry.name))
      .sort()
      .map((path) => [path.slice(out.length + 1), readFileSync(path, 'utf8')]),
  );
}

function withOlder(): string {
  const older = Object.entries(contents('of before'));
  return tempFolder(Object.fromEntries(older.map(([name, text]) => [`out/${name}`, text])));
}

const fresh = (): string => tempFolder({ 'out/.keep': '' });

/** How many calls change the disk when nothing goes wrong. */
async function callsOf(make: () => string, over: boolean): Promise<number> {
  const all = pieces(make(), over);
  const { calls, error } = await withFaults(
    () => null,
    () => writeTogether(all),
  );
  expect(error).toBeNull();
  return calls;
}

/** Files apart from those of a part in the making, and of what was put aside. */
const whole = (files: Record<string, string>): Record<string, string> =>
  Object.fromEntries(Object.entries(files).filter(([name]) => !/(^|\/)\.[^/]*$/.test(name)));

describe.each([
  { what: 'where nothing was', make: fresh, over: false, before: {} },
  { what: 'over an older run', make: withOlder, over: true, before: contents('of before') },
])('files that belong together, written $what', ({ make, over, before }) => {
  it('are all there', () => {
    const cwd = make();
    writeTogether(pieces(cwd, over));
    expect(whole(found(cwd))).toEqual(contents('of now'));
    expect(Object.keys(found(cwd)).filter((name) => name.includes('.trysquare'))).toEqual([]);
  });

  it('are as they were where the disk fills, at any point and for good', async () => {
    const calls = await callsOf(make, over);
    expect(calls).toBeGreaterThanOrEqual(10);
    for (let at = 0; at < calls; at++) {
      const cwd = make();
      const all = pieces(cwd, over);
      const { error } = await withFaults(
        (call) => (call >= at ? 'full' : null),
        () => writeTogether(all),
      );
      // Once all has its room, only moves are left.
      if (error === null) expect(whole(found(cwd)), `${at}`).toEqual(contents('of now'));
      else {
        expect(error, `${at}`).toBeInstanceOf(UsageError);
        expect(String(error), `${at}`).toMatch(
          /out\S* cannot be (written|made): there is no space left on the device/,
        );
        expect(whole(found(cwd)), `${at}`).toEqual(before);
      }
      expect(
        Object.keys(found(cwd)).filter((name) => name.endsWith('.part')),
        `${at}`,
      ).toEqual([]);
    }
  });

  it('are never torn where the process is killed, at any point', async () => {
    const calls = await callsOf(make, over);
    for (let at = 0; at < calls; at++) {
      const cwd = make();
      const all = pieces(cwd, over);
      await withFaults(
        (call) => (call >= at ? 'killed' : null),
        () => writeTogether(all),
      );
      const left = whole(found(cwd));
      // Whatever is there is whole; and an asset that is there has the files of its own run beside it.
      for (const [name, text] of Object.entries(left))
        expect([contents('of now')[name], contents('of before')[name]], `${at}`).toContain(text);
      const asset = left['heron.gltf'];
      if (asset !== undefined)
        expect(left, `${at}`).toEqual(asset.endsWith('of now') ? contents('of now') : before);
      // What was there before may only have been put aside, until all that is new is in its place.
      const isMade = Object.entries(contents('of now')).every(
        ([name, text]) => left[name] === text,
      );
      if (!isMade)
        expect(Object.values(found(cwd)), `${at}`).toEqual(
          expect.arrayContaining(Object.values(before)),
        );
      // And another run makes all of it.
      writeTogether(pieces(cwd, true));
      expect(whole(found(cwd)), `${at}`).toEqual(contents('of now'));
    }
  });

  it('are as they were where the system refuses one step, whichever it is', async () => {
    const calls = await callsOf(make, over);
    for (let at = 0; at < calls; at++) {
      const cwd = make();
      const all = pieces(cwd, over);
      const { error } = await withFaults(
        (call) => (call === at ? 'read-only' : null),
        () => writeTogether(all),
      );
      if (error !== null) expect(error, `${at}`).toBeInstanceOf(UsageError);
      expect(whole(found(cwd)), `${at}`).toEqual(error === null ? contents('of now') : before);
    }
  });
});

describe('files that belong together', () => {
  it('leave what is the same, and what came to be there meanwhile', async () => {
    const cwd = fresh();
    writeTogether(pieces(cwd, false));
    const { mtimeNs } = statSync(join(cwd, 'out/heron.gltf'), { bigint: true });
    writeTogether(pieces(cwd, false));
    expect(statSync(join(cwd, 'out/heron.gltf'), { bigint: true }).mtimeNs).toBe(mtimeNs);
    writeFileSync(join(cwd, 'out/heron.gltf'), 'of another run');
    const all = pieces(cwd, false);
    expect(() => writeTogether(all)).toThrow(/another program put a file there/);
    expect(readFileSync(join(cwd, 'out/heron.gltf'), 'utf8')).toBe('of another run');
  });

  it('leave the main one in its place where it is the same and others change', () => {
    const cwd = fresh();
    writeTogether(pieces(cwd, false));
    writeFileSync(join(cwd, 'out/heron.bin'), 'spoilt');
    writeTogether(pieces(cwd, true));
    expect(found(cwd)).toEqual({ '.keep': '', ...contents('of now') });
  });

  it('keep what a killed run has put aside', () => {
    const cwd = withOlder();
    writeFileSync(join(cwd, 'out/.heron.gltf.before-replace'), 'of a killed run');
    writeTogether(pieces(cwd, true));
    expect(found(cwd)).toEqual({
      '.heron.gltf.before-replace': 'of a killed run',
      ...contents('of now'),
    });
  });

  it('are refused in one line where a name has no room for another beside it', () => {
    const cwd = fresh();
    const to = join(cwd, 'out', 'x'.repeat(300));
    const words = 'out/x';
    const long: Piece = { to, words, content: Buffer.from('x'), over: false };
    expect(() => writeTogether([long])).toThrow('out/x cannot be written: its name is too long');
  });

  it('take back what was new where the last cannot be written, but not what others share', () => {
    const cwd = tempFolder({ 'out/heron.gltf/x': 'a folder in the way' });
    const all = pieces(cwd, true).map((piece) => ({
      ...piece,
      isShared: piece.to.endsWith('.png'),
    }));
    expect(() => writeTogether(all)).toThrow(UsageError);
    expect(Object.keys(found(cwd))).toEqual(['heron.gltf/x', 'skins/skin.png']);
  });

  it('have the permissions that are asked for', () => {
    const cwd = fresh();
    const all = pieces(cwd, false).map((piece) => ({ ...piece, mode: 0o640 }));
    writeTogether(all);
    expect(statSync(join(cwd, 'out/heron.bin')).mode & 0o777).toBe(0o640);
  });

  it('are not written where a source is gone meanwhile', () => {
    const cwd = fresh();
    const all = pieces(cwd, false).map((piece) =>
      piece.content instanceof Uint8Array
        ? piece
        : { ...piece, content: { copyOf: join(cwd, 'gone') } },
    );
    expect(() => writeTogether(all)).toThrow(
      'out/skins/skin.png cannot be written: there is no such file',
    );
    expect(found(cwd)).toEqual({ '.keep': '' });
  });
});
