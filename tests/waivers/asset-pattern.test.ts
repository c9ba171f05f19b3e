import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PatternFault } from '../../src/house/name-pattern.js';
import {
  assetPattern,
  fits,
  literalPattern,
  partsOfPath,
  relativePattern,
} from '../../src/waivers/asset-pattern.js';
import { patternOf, rebased } from '../../src/waivers/folders.js';

const fitsPath = (pattern: string, folder: string, path: string): boolean =>
  fits(assetPattern(pattern, folder), partsOfPath(path));

describe('a pattern of assets', () => {
  it('is relative to the folder it is written in', () => {
    expect(fitsPath('heron.glb', '/theatre/puppets', '/theatre/puppets/heron.glb')).toBe(true);
    expect(fitsPath('heron.glb', '/theatre', '/theatre/puppets/heron.glb')).toBe(false);
    expect(fitsPath('**/heron.glb', '/theatre', '/wagon/heron.glb')).toBe(false);
  });

  it('leads out of its folder by .. at its start', () => {
    expect(fitsPath('../store/*.glb', '/theatre/puppets', '/theatre/store/mule.glb')).toBe(true);
    expect(fitsPath('../**', '/theatre/puppets', '/theatre/puppets/mule.glb')).toBe(true);
  });

  it('takes a folder with wildcards in its own name as it is', () => {
    expect(fitsPath('*.glb', '/act [1]*', '/act [1]*/mule.glb')).toBe(true);
    expect(fitsPath('*.glb', '/act [1]*', '/act 1x/mule.glb')).toBe(false);
  });

  it('fits names whose accents are stored apart from their letters', () => {
    expect(fitsPath('h\u00e9ron*', '/', '/he\u0301ron.glb')).toBe(true);
    expect(fitsPath('he\u0301ron.glb', '/', '/h\u00e9ron.glb')).toBe(true);
  });

  it('tells letters of different case apart', () => {
    expect(fitsPath('Heron.glb', '/', '/heron.glb')).toBe(false);
  });

  it.each([
    ['/puppets/heron.glb', 'is an absolute path'],
    ['C:/puppets/heron.glb', 'is an absolute path'],
    ['puppets//heron.glb', 'has an empty name'],
    ['puppets/', 'has an empty name'],
    ['', 'has an empty name'],
    ['.', 'has an empty name'],
    ['..', 'has .. after a name'],
    ['puppets/../heron.glb', 'has .. after a name'],
    [`${'n/'.repeat(2048)}n`, 'has 4097 letters (limit 4096)'],
  ])('that reads %.40s is refused: it %s', (pattern, why) => {
    expect(() => assetPattern(pattern, '/')).toThrow(PatternFault);
    expect(() => assetPattern(pattern, '/')).toThrow(why);
  });

  it('with runs of folders throughout gives up on a deep path within a second', () => {
    const pattern = assetPattern(`${'**/a/'.repeat(500)}b`, '/');
    const names = Array.from({ length: 2000 }, () => 'a');
    const start = performance.now();
    expect(fits(pattern, names)).toBe(false);
    expect(fits(pattern, [...names, 'b'])).toBe(true);
    expect(performance.now() - start).toBeLessThan(1000);
  });
});

const name = fc
  .string({ unit: fc.constantFrom(...'ab*?[]{}\\(!. é'), minLength: 1, maxLength: 6 })
  .filter((made) => made !== '.' && made !== '..');
const path = (most: number): fc.Arbitrary<string> =>
  fc.array(name, { minLength: 1, maxLength: most }).map((names) => `/${names.join('/')}`);

describe('a path written as a pattern', () => {
  it('fits that path alone, wherever the ledger is', () => {
    fc.assert(
      fc.property(path(4), path(4), path(4), (file, other, ledger) => {
        const pattern = patternOf(file, { cwd: '/elsewhere', ledger });
        expect(fitsPath(pattern, ledger, file)).toBe(true);
        expect(fitsPath(pattern, ledger, other)).toBe(
          file.normalize('NFC') === other.normalize('NFC'),
        );
      }),
      { seed: 21, numRuns: 500 },
    );
  });

  it('fits the same paths from the folder of the ledger as from the folder of the report', () => {
    const part = fc.oneof(name.map(literalPattern), fc.constantFrom('**', '*', 'a*', '[ab]'));
    const made = fc.array(part, { minLength: 1, maxLength: 4 }).map((parts) => parts.join('/'));
    const up = fc.integer({ min: 0, max: 2 }).map((count) => '../'.repeat(count));
    const folder = fc
      .array(fc.constantFrom('a', 'b', '*'), { maxLength: 3 })
      .map((names) => `/${names.join('/')}`);
    fc.assert(
      fc.property(made, up, folder, folder, path(5), (down, above, cwd, ledger, file) => {
        const pattern = `${above}${down}`;
        const moved = rebased(pattern, { cwd, ledger });
        expect(fitsPath(moved, ledger, file)).toBe(fitsPath(pattern, cwd, file));
      }),
      { seed: 22, numRuns: 1000 },
    );
  });

  it('is as short as it can be', () => {
    expect(relativePattern(['theatre', 'puppets', '*.glb'], '/theatre')).toBe('puppets/*.glb');
    expect(relativePattern(['theatre', '*.glb'], '/theatre/puppets')).toBe('../*.glb');
    expect(relativePattern(['theatre', '**', '*.glb'], '/theatre/a/b')).toBe('../../**/*.glb');
  });
});
