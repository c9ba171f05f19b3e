import { createHash } from 'node:crypto';
import {
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import type { ContentKey } from '../../src/batch/file-stamps.js';
import { StampIndex, stampsOf, sureSame } from '../../src/batch/file-stamps.js';
import { tempFolder } from '../support/temp-folder.js';

const KEY: ContentKey = { file: 'f'.repeat(64), all: 'a'.repeat(64) };
const TODAY = new Date('2026-05-04T12:00:00Z');
const LATER = Date.now() + 60_000;

function later(...paths: string[]): NonNullable<ReturnType<typeof stampsOf>> {
  return stampsOf(paths, LATER) ?? [];
}

/** An index that knows the asset with its buffer, saved. */
function known(): { cwd: string; asset: string; buffer: string; open(now?: Date): StampIndex } {
  const cwd = tempFolder({ 'a.gltf': 'abc', 'a.bin': 'def' });
  const [asset, buffer] = [join(cwd, 'a.gltf'), join(cwd, 'a.bin')];
  const index = new StampIndex(cwd, TODAY);
  index.put(asset, KEY, later(asset, buffer));
  index.save();
  return { cwd, asset, buffer, open: (now = TODAY) => new StampIndex(cwd, now) };
}

it('knows the key of what has not changed, in the next run too', () => {
  const { asset, open } = known();
  expect(open().get(asset)).toEqual(KEY);
  expect(open().get(`${asset}x`)).toBeNull();
});

it.each([
  ['written to', (path: string) => writeFileSync(path, 'abcd')],
  ['removed', (path: string) => rmSync(path)],
  [
    'written to with as many bytes, its time put back',
    (path: string) => {
      const { atime, mtime } = statSync(path);
      writeFileSync(path, 'xyz');
      utimesSync(path, atime, mtime);
    },
  ],
  [
    'replaced by another file',
    (path: string) => {
      const { atime, mtime } = statSync(path);
      writeFileSync(`${path}.new`, 'xyz');
      utimesSync(`${path}.new`, atime, mtime);
      renameSync(`${path}.new`, path);
    },
  ],
] as const)('does not know an asset or a buffer that was %s', (_, change) => {
  for (const which of ['asset', 'buffer'] as const) {
    const all = known();
    change(all[which]);
    expect([which, all.open().get(all.asset)]).toEqual([which, null]);
  }
});

it('does not trust times so near to now that another change could have the same', () => {
  const { cwd, asset } = known();
  writeFileSync(asset, 'new');
  const fresh = stampsOf([asset]) ?? [];
  expect(fresh.map(({ settled }) => settled)).toEqual([false]);
  const index = new StampIndex(cwd, TODAY);
  index.put(asset, KEY, fresh);
  expect(index.get(asset)).toBeNull();
  expect(sureSame(fresh, fresh)).toBe(false);
  expect(sureSame(later(asset), later(asset))).toBe(true);
  // A clock that is behind the file system's.
  expect(stampsOf([asset], Date.now() - 60_000)?.[0]?.settled).toBe(false);
});

it('a damaged index knows nothing, and is written anew', () => {
  const { cwd, asset, open } = known();
  const path = join(cwd, 'files.json');
  const whole = readFileSync(path, 'utf8');
  for (const damaged of ['', whole.slice(0, -4), whole.replace(KEY.all, 'b'.repeat(64)), '\n[]']) {
    writeFileSync(path, damaged);
    const index = open();
    expect(index.get(asset)).toBeNull();
    index.put(asset, KEY, later(asset));
    index.save();
    expect(open().get(asset)).toEqual(KEY);
  }
  expect(readdirSync(cwd).sort()).toEqual(['a.bin', 'a.gltf', 'files.json']);
});

it.each<[string, unknown]>([
  ['a number', 7],
  ['no list', { a: 1 }],
  ['entries that are no pairs', ['a.gltf']],
  ['an entry of nothing', [['a.gltf', null]]],
  ['an entry without files', [['a.gltf', { ...KEY, day: 1 }]]],
  ['files that are none', [['a.gltf', { ...KEY, day: 1, files: [null] }]]],
  ['an empty list of files', [['a.gltf', { ...KEY, day: 1, files: [] }]]],
  ['a key that is no digest', [['a.gltf', { ...KEY, all: '../x', day: 1, files: [['a', 'b']] }]]],
])('an index with a fitting digest that holds %s knows nothing', (_, value) => {
  const cwd = tempFolder({ 'a.gltf': 'abc' });
  const body = JSON.stringify(value).replaceAll('a.gltf', join(cwd, 'a.gltf'));
  const digest = createHash('sha256').update(`trysquare-stamps 1 ${body}`).digest('hex');
  writeFileSync(join(cwd, 'files.json'), `${digest}\n${body}`);
  expect(new StampIndex(cwd, TODAY).get(join(cwd, 'a.gltf'))).toBeNull();
});

it('forgets what was of no use for two months, and nothing that was', () => {
  const day = (count: number): Date => new Date(TODAY.getTime() + count * 86_400_000);
  const { cwd, asset, buffer, open } = known();
  const index = open();
  index.put(buffer, KEY, later(buffer));
  index.save();
  const later40 = open(day(40));
  expect(later40.get(asset)).toEqual(KEY);
  later40.save();
  const later90 = open(day(90));
  later90.put(join(cwd, 'other'), KEY, later(buffer));
  later90.save();
  expect(open(day(90)).get(asset)).toEqual(KEY);
  expect(open(day(90)).get(buffer)).toBeNull();
});

it('a folder that cannot be written to is left alone', () => {
  const { cwd, asset, open } = known();
  const index = open();
  index.put(asset, KEY, later(asset));
  rmSync(cwd, { recursive: true });
  expect(() => index.save()).not.toThrow();
});
