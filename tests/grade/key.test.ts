import { randomInt } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { UsageError } from '../../src/asset/errors.js';
import {
  codesFor,
  keyWith,
  NO_KEY,
  readKey,
  refuseNamesAsCodes,
  withoutNames,
} from '../../src/grade/key.js';

const WHAT = 'the key key.csv';
/** A chance that can be told beforehand. */
const counting = (): ((below: number) => number) => {
  let at = 0;
  return (below) => at++ % below;
};

describe('the key of a class', () => {
  it('keeps every code that it has, adds the others at its end, and changes nothing else', () => {
    const text = 'remark;code;submission\nlate;X7;b\n;Y8;"a"';
    const key = readKey(text, WHAT);
    const { codes, added } = codesFor(['a', 'b', 'c', '=d'], key, counting());
    expect([codes.get('a'), codes.get('b'), added.size]).toEqual(['Y8', 'X7', 2]);
    const after = keyWith(key, added);
    expect(after.startsWith(text)).toBe(true);
    const again = readKey(after, WHAT);
    const known = codesFor(['=d', 'c', 'b', 'a'], again, counting());
    expect([known.added.size, known.codes.get('c'), known.codes.get('=d')]).toEqual([
      0,
      codes.get('c'),
      codes.get('=d'),
    ]);
  });

  it('finds a name that a spreadsheet took for a number, and gives two such names two codes', () => {
    const key = readKey('submission,code\n12,X7\n7,Y8\n', WHAT);
    const { codes } = codesFor(['00012', '007', '7'], key, counting());
    expect([codes.get('00012'), codes.get('7')]).toEqual(['X7', 'Y8']);
    expect(codes.get('007')).not.toBe('Y8');
  });

  it('has no code that a spreadsheet takes for a number with an exponent', () => {
    const names = Array.from({ length: 400 }, (_, at) => `s${at}`);
    for (const code of codesFor(names, NO_KEY, randomInt).codes.values())
      expect(code).toMatch(/^[ACDFHJ-NP-RT-Y3479]{5}$/);
  });

  it('ends new rows as the others end', () => {
    const after = keyWith(readKey('submission,code\ra,X1', WHAT), new Map([['b', 'X2']]));
    expect(after).toBe('submission,code\ra,X1\r"b","X2"\r');
  });

  it('is refused where a code is what a submission is called', () => {
    const key = readKey('submission,code\nb,Heron\n', WHAT);
    expect(() => refuseNamesAsCodes(key, ['mule.glb', 'heron.glb'], WHAT)).toThrow(
      'the key key.csv has "heron" as a code, and the submission "heron.glb" is called so; give one of them another',
    );
    expect(() => refuseNamesAsCodes(key, ['mule.glb', 'herons'], WHAT)).not.toThrow();
  });

  it('is a table that others read, when it is new', () => {
    const { added } = codesFor(['b', 'a'], NO_KEY, counting());
    const rows: unknown = parse(keyWith(NO_KEY, added), { columns: true });
    expect(rows).toEqual([
      { submission: 'a', code: added.get('a') },
      { submission: 'b', code: added.get('b') },
    ]);
  });

  it('never gives a code that is taken, or that is the name of a submission', () => {
    const first = codesFor(['a'], NO_KEY, counting()).codes.get('a') ?? '';
    const key = readKey(`submission,code\nz,${first.toLowerCase()}\n`, WHAT);
    expect(codesFor(['a'], key, counting()).codes.get('a')).not.toBe(first);
    expect(codesFor(['a', first], NO_KEY, counting()).codes.get('a')).not.toBe(first);
  });

  it.each([
    [
      'submission,code\na,X1\nb,x1\n',
      'line 3: "b" has the same code as "a" at line 2 (x1); give one of them another code',
    ],
    ['submission,code\na,X1\na,X2\n', 'line 3: "a" is in it twice; delete one of the lines'],
    ['submission,code\na,\n', 'line 2: "" is not a code; use 1 to 40 letters, digits and dashes'],
    ['submission,code\na,../x\n', 'line 2: "../x" is not a code'],
    [
      'submission,code\nheron,HERON\n',
      'line 2: the code of "heron" is its name; give it another code',
    ],
    ['submission,code\n,X1\n', 'line 2: the code "X1" has no submission'],
    ['submission,points\na,3\n', 'has no column "submission" and "code"'],
    ['', 'is empty'],
  ])('is refused in one line where it is wrong: %j', (text, words) => {
    expect(() => readKey(text, WHAT)).toThrow(UsageError);
    expect(() => readKey(text, WHAT)).toThrow(words);
  });
});

describe('a reason', () => {
  it.each([
    ['kestrel/puppet-final.glb cannot be read', 'CODE cannot be read'],
    ['its buffer "the kestrel of bench 3.bin" is missing', 'its buffer "(a file)" is missing'],
    [
      'buffers/0 leads to other-name.bin (at /buffers/0)',
      'buffers/0 leads to (a file) (at /buffers/0)',
    ],
    ['the folder has no .glb, .gltf or .vrm file', 'the folder has no .glb, .gltf or .vrm file'],
  ])('loses the names of a submission and of files: %s', (reason, words) => {
    const told = withoutNames(reason, ['kestrel', 'kestrel/puppet-final.glb'], 'CODE');
    expect(told).toBe(words);
  });

  it('keeps words that only hold a short name', () => {
    expect(withoutNames('al cannot be read: all of it', ['al'], 'CODE')).toBe(
      'CODE cannot be read: all of it',
    );
  });
});
