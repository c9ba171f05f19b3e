// Source: the files that npm `tinyglobby`, a general-purpose globber, finds on disk.
import fc from 'fast-check';
import { glob } from 'tinyglobby';
import { describe, expect, it } from 'vitest';
import { assetPattern, fits, partsOfPath } from '../../src/house/asset-pattern.js';
import { tempFolder } from '../support/temp-folder.js';

const FILES = [
  'heron.glb',
  'heron_2.glb',
  'mule.gltf',
  'a[1].glb',
  'mule (2).glb',
  'puppets/heron.glb',
  'puppets/mule.glb',
  'puppets/walkers/mule.glb',
  'puppets/walkers/left/mule.glb',
  'puppets/walkers/left/.draft.glb',
  'puppets/flyers/heron.glb',
  'store/puppets/heron.glb',
  'store/old/puppets/walkers/mule.glb',
];

const PATTERNS = [
  'heron.glb',
  '*.glb',
  '*',
  '**',
  '**/*.glb',
  'puppets/*',
  'puppets/**',
  'puppets/**/mule.glb',
  '**/puppets/**/mule.glb',
  '**/walkers/**',
  '**/mule.*',
  '*/*.glb',
  '*/*/*',
  'puppets/{walkers,flyers}/*',
  'puppets/[fw]*/*.glb',
  'puppets/[!f]*/*.glb',
  '**/heron?2.glb',
  'a\\[1\\].glb',
  'mule \\(2\\).glb',
  '**/**/mule.glb',
  'puppets/**/left/**/mule.glb',
  '{heron,mule}.{glb,gltf}',
];

const found = (pattern: string, cwd: string): Promise<string[]> =>
  // A negated class is spelled as the globber knows it.
  glob(pattern.replace('[!', '[^'), { cwd, dot: true, onlyFiles: true, expandDirectories: false });

const ours = (pattern: string): string[] =>
  FILES.filter((file) =>
    fits(assetPattern(pattern, '/store room'), partsOfPath(`/store room/${file}`)),
  );

describe('patterns of assets', () => {
  it.each(PATTERNS)('%s fits the files that a globber finds', async (pattern) => {
    const cwd = tempFolder(Object.fromEntries(FILES.map((file) => [file, ''])));
    const expected = await found(pattern, cwd);
    expect(expected.length).toBeGreaterThan(0);
    expect(ours(pattern).sort()).toEqual(expected.sort());
  });

  it('of any make fit the files that a globber finds', async () => {
    const cwd = tempFolder(Object.fromEntries(FILES.map((file) => [file, ''])));
    const part = fc.constantFrom(
      '**',
      '*',
      'puppets',
      '*.glb',
      'm*',
      '*e*',
      'walkers',
      'left',
      '?ule.glb',
      'heron.glb',
      's*',
    );
    const pattern = fc.array(part, { minLength: 1, maxLength: 5 }).map((parts) => parts.join('/'));
    await fc.assert(
      fc.asyncProperty(pattern, async (made) => {
        expect(ours(made).sort()).toEqual((await found(made, cwd)).sort());
      }),
      { seed: 20, numRuns: 150 },
    );
  });
});
