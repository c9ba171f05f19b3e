import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { seemMany } from '../../src/cli/run/workers.js';

const folder = mkdtempSync(join(tmpdir(), 'trysquare-workers-'));
writeFileSync(join(folder, 'heron.glb'), '');
writeFileSync(join(folder, 'mule [old].glb'), '');
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('workers that start before the list is known', () => {
  it.each([
    ['a folder', ['.']],
    ['a pattern', ['*.glb']],
    ['two files', ['heron.glb', 'mule [old].glb']],
    ['a file and standard input', ['-', 'heron.glb']],
  ])('may be wanted for %s', (_, paths) => {
    expect(seemMany(paths, folder)).toBe(true);
  });

  it.each([
    ['nothing', []],
    ['a file', ['heron.glb']],
    ['a file whose name reads like a pattern', ['mule [old].glb']],
    ['standard input', ['-']],
    ['a file that is not there', ['beetle.glb']],
    ['a path that leads through a file', ['heron.glb/beetle.glb']],
  ])('have nothing to do for %s', (_, paths) => {
    expect(seemMany(paths, folder)).toBe(false);
  });

  it('start for a library, not for a delivery of one asset with what belongs to it', () => {
    const lie = (name: string): void => {
      mkdirSync(join(folder, name, '..'), { recursive: true });
      writeFileSync(join(folder, name), '');
    };
    lie('delivery/heron.GLB');
    lie('delivery/read-me.txt');
    for (let at = 0; at < 7; at++) lie(`delivery/part-${at}/paint.png`);
    expect(seemMany(['delivery'], folder)).toBe(false);
    lie('delivery/part-7/paint.png');
    expect(seemMany(['delivery'], folder)).toBe(true);
    lie('pair/heron.glb');
    expect(seemMany(['pair'], folder)).toBe(false);
    lie('pair/mule.gltf');
    expect(seemMany(['pair'], folder)).toBe(true);
    expect(seemMany(['pair/*'], folder)).toBe(true);
    expect(seemMany(['pair/heron.glb'], folder)).toBe(false);
  });
});
