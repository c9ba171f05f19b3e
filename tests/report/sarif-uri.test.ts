import { describe, expect, test } from 'vitest';
import type { SarifOptions } from '../../src/report/sarif.js';
import { glbAsset } from './sample-report.js';
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
