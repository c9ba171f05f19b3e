import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it, vi } from 'vitest';
import { putFile } from '../../src/batch/part-file.js';
import { tempFolder } from '../support/temp-folder.js';

// As file systems of memory cards and some shares of a network do (link(2): EPERM).
vi.mock('node:fs', async (original) => ({
  ...(await original<typeof import('node:fs')>()),
  linkSync: () => {
    throw Object.assign(new Error('no second names here'), { code: 'EPERM' });
  },
}));

it('a file is put in its place on a file system without second names, and over none that is there', () => {
  const folder = tempFolder({ 'mule.json': 'another run' });
  putFile(join(folder, 'heron.json'), 'ours', false);
  expect(readFileSync(join(folder, 'heron.json'), 'utf8')).toBe('ours');
  expect(() => putFile(join(folder, 'mule.json'), 'ours', false)).toThrow();
  expect(readFileSync(join(folder, 'mule.json'), 'utf8')).toBe('another run');
  expect(readdirSync(folder).sort()).toEqual(['heron.json', 'mule.json']);
});
