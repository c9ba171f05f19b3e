import fc from 'fast-check';
import { expect, it, test } from 'vitest';
import { fileNames } from '../../src/report/file-names.js';
import { hostileName, RUNS } from '../property/hostile-names.js';

it('leaves a plain name as it is', () => {
  expect(fileNames(['submission-01', 'submission-02.glb', 'Käfer_3'])).toEqual([
    'submission-01',
    'submission-02.glb',
    'Käfer_3',
  ]);
});

it.each([
  ['a formula', '=cmd|calc', 'cmd-calc'],
  ['a line break', 'heron\nmule', 'heron-mule'],
  ['the way out', '../../mule', 'mule'],
  ['a lantern', '🏮', 'submission'],
  ['a hidden name', '.mule', 'mule'],
  ['an option', '--out', 'out'],
  ['a device', 'nul', 'submission-nul'],
  ['a device with an ending', 'COM1.glb', 'submission-COM1.glb'],
  ['a name that ends in points', 'mule. ..', 'mule'],
  ['a text turned round', 'knaeb\u202Ehcra', 'knaeb-hcra'],
])('makes a safe name of %s', (_, name, expected) => {
  expect(fileNames([name])).toEqual([expected]);
});

it('cuts what is too long between letters', () => {
  const [long = ''] = fileNames(['🏮é漢'.repeat(300)]);
  expect(Buffer.byteLength(long)).toBeLessThanOrEqual(120);
  expect(long.startsWith('é漢-é漢')).toBe(true);
  expect(fileNames(['n'.repeat(300)])).toEqual(['n'.repeat(120)]);
});

it('numbers names that some file system takes for one', () => {
  const cut = 'n'.repeat(120);
  expect(fileNames(['Mule', 'mule', 'mule-2', 'MULE', 'é', 'e\u0301'])).toEqual([
    'Mule',
    'mule-2',
    'mule-2-2',
    'MULE-3',
    'é',
    'é-2',
  ]);
  expect(fileNames([`${cut}a`, `${cut}b`])).toEqual([cut, `${cut}-2`]);
});

test('no two names of a class are alike, and none is unsafe', () => {
  fc.assert(
    fc.property(fc.array(hostileName, { maxLength: 30 }), (names) => {
      const made = fileNames(names);
      expect(new Set(made.map((name) => name.toLowerCase())).size).toBe(names.length);
      for (const name of made) {
        expect(name).toMatch(/^[\p{L}\p{M}\p{N}_][\p{L}\p{M}\p{N}._-]*$/u);
        expect(name).not.toMatch(/\.$/);
        expect(Buffer.byteLength(name)).toBeLessThan(150);
      }
    }),
    RUNS,
  );
});
