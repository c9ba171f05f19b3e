import { describe, expect, test } from 'vitest';
import type { SarifOptions } from '../../src/report/sarif.js';
import { glbAsset, sampleFinding } from './sample-report.js';
import { runOf } from './sample-run.js';

const uriOf = (path: string, change: Partial<SarifOptions> = {}) =>
  runOf([glbAsset(path)], change).artifacts?.[0]?.location?.uri;

describe('the URI of an asset', () => {
  test.each([
    ['heron.glb', 'heron.glb'],
    ['./wagon//heron.glb', 'wagon/heron.glb'],
    ['/theatre/puppets/wagon/heron.glb', 'wagon/heron.glb'],
    ['/theatre/store/heron.glb', '../store/heron.glb'],
    ['100% heron #2?.glb', '100%25%20heron%20%232%3F.glb'],
    ['鷺/é.glb', '%E9%B7%BA/%C3%A9.glb'],
    ['mule:left.glb', 'mule%3Aleft.glb'],
    ['a\\b.glb', 'a%5Cb.glb'],
    ['half\ud83c.glb', 'half%EF%BF%BD.glb'],
    ['-', 'stdin.glb'],
  ])('of %j is %j', (path, uri) => {
    expect(uriOf(path)).toBe(uri);
  });

  test('is relative on the drive of the base folder and whole on another', () => {
    const base = 'C:\\theatre\\puppets';
    expect(uriOf('c:/theatre/puppets/heron.glb', { base })).toBe('heron.glb');
    expect(uriOf('D:/store/the heron.glb', { base })).toBe('file:///D:/store/the%20heron.glb');
  });
});

describe('with a root of its own', () => {
  const roots = ['/theatre'];

  test.each([
    ['heron.glb', 'puppets/heron.glb'],
    ['../store/heron.glb', 'store/heron.glb'],
    ['/theatre/store/heron.glb', 'store/heron.glb'],
    ['/wagon/heron.glb', '../wagon/heron.glb'],
    ['../../wagon/heron.glb', '../wagon/heron.glb'],
    ['..heron.glb', 'puppets/..heron.glb'],
    ['-', 'stdin.glb'],
  ])('%j is %j', (path, uri) => {
    expect(uriOf(path, { roots })).toBe(uri);
  });

  test('is the one of its names that the path goes by', () => {
    const names = ['/stage/theatre', '/theatre'];
    expect(uriOf('/stage/theatre/puppets/heron.glb', { roots: names })).toBe('puppets/heron.glb');
    expect(uriOf('heron.glb', { roots: names })).toBe('puppets/heron.glb');
    expect(uriOf('/wagon/heron.glb', { roots: names })).toBe('../wagon/heron.glb');
  });

  test('on a drive of its own', () => {
    const base = 'C:\\theatre\\puppets';
    expect(uriOf('heron.glb', { base, roots: ['C:/theatre'] })).toBe('puppets/heron.glb');
    expect(uriOf('heron.glb', { base, roots: ['D:/theatre'] })).toBe(
      'file:///C:/theatre/puppets/heron.glb',
    );
  });

  // SARIF 2.1.0, 3.4.4: relative references SHOULD have a base id, absolute ones none; 3.14.14: a URI
  // that would be absolute may be left out, for logs that are the same on every machine.
  test('the standard is told by a base id that names no folder of the machine', () => {
    const paths = ['heron.glb', '/wagon/heron.glb', '-'];
    const run = runOf(
      paths.map((path) => glbAsset(path, [sampleFinding()])),
      { roots },
    );
    expect(run.originalUriBaseIds).toEqual({ ROOT: { description: { text: expect.any(String) } } });
    const bases = run.results
      ?.filter(({ kind }) => kind === undefined)
      .map(({ locations }) => locations?.[0]?.physicalLocation?.artifactLocation)
      .map((location) => [location?.uri, location?.uriBaseId]);
    expect(bases).toEqual([
      ['puppets/heron.glb', 'ROOT'],
      ['../wagon/heron.glb', undefined],
      ['stdin.glb', undefined],
    ]);
    expect(run.artifacts?.[0]?.location).toEqual({ uri: 'puppets/heron.glb', uriBaseId: 'ROOT' });
  });

  test('services, which may not know it, are told no base id', () => {
    const run = runOf([glbAsset('heron.glb', [sampleFinding()])], {
      roots,
      target: 'code-scanning',
    });
    expect(JSON.stringify(run)).not.toMatch(/uriBaseId/i);
    expect(run.artifacts?.[0]?.location).toEqual({ uri: 'puppets/heron.glb' });
  });
});
