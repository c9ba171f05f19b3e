import { mkdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { parse } from 'jsonc-parser';
import { describe, expect, it } from 'vitest';
import { openLedger } from '../../src/cli/run/ledger-file.js';
import { schemaPlace } from '../../src/cli/schema-place.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const SCHEMA = 'standard.schema.json';

/** Where a file in `folder` finds its schema, with these files in the theatre's store. */
function placeIn(
  folder: string,
  files: readonly string[],
  dist: string | null,
  isRepository = true,
): string | null {
  const store = tempFolder(Object.fromEntries(files.map((file) => [file, '{}'])));
  mkdirSync(join(store, folder), { recursive: true });
  if (isRepository) mkdirSync(join(store, 'house/.git'), { recursive: true });
  return schemaPlace(join(store, folder), 'standard', dist && join(store, dist));
}

describe('a file to start from is led to its schema', () => {
  it.each([
    ['in a clone', 'house', 'house/dist', './dist/standard.schema.json'],
    ['below a clone', 'house/puppets', 'house/dist', '../dist/standard.schema.json'],
    [
      'above one',
      'house',
      'house/tools/trysquare/dist',
      './tools/trysquare/dist/standard.schema.json',
    ],
  ])('%s', (_, folder, dist, path) => {
    expect(placeIn(folder, [`${dist}/${SCHEMA}`], dist)).toBe(path);
  });

  it('in the package as the house has it installed, before where it really lies', () => {
    const installed = 'house/node_modules/trysquare/dist';
    const kept = 'house/node_modules/.store/trysquare@0.1.0/node_modules/trysquare/dist';
    const files = [`${installed}/${SCHEMA}`, `${kept}/${SCHEMA}`];
    const path = '../node_modules/trysquare/dist/standard.schema.json';
    expect(placeIn('house/puppets', files, kept)).toBe(path);
    expect(placeIn('house/puppets', files, kept, false)).toBe(path);
  });
});

describe('none is told', () => {
  it.each([
    ['for a command that the whole machine has', 'lib/node_modules/trysquare/dist'],
    ['for a clone beside the house, which others need not have', 'trysquare/dist'],
    ['for the store of a package manager', 'house/node_modules/.store/trysquare@0.1.0/dist'],
    ['for a package above the repository', 'node_modules/trysquare/dist'],
  ])('%s', (_, dist) => {
    expect(placeIn('house', [`${dist}/${SCHEMA}`], dist)).toBeNull();
  });

  it('for one that was not built', () => {
    expect(placeIn('house', [], 'house/dist')).toBeNull();
    expect(placeIn('house', [], null)).toBeNull();
  });
});

it('standard init and a ledger just begun have a path that leads to the schema, or how to make one', async () => {
  const built = { 'dist/standard.schema.json': '{}', 'dist/waivers.schema.json': '{}' };
  for (const files of [built, {}]) {
    const cwd = tempFolder({ ...files, 'puppets/.keep': '' });
    mkdirSync(join(cwd, '.git'));
    const pageScript = join(cwd, 'dist/page.js');
    await runCli(['standard', 'init', 'puppets/trysquare.json'], { cwd, pageScript });
    const file = join(cwd, 'puppets/trysquare.json');
    const text = readFileSync(file, 'utf8');
    const { $schema } = parse(text);
    const ledger = openLedger('puppets/waivers.json', cwd, join(cwd, 'dist')).text;
    if (files === built) {
      expect(readFileSync(join(dirname(file), $schema), 'utf8')).toBe('{}');
      expect(parse(ledger).$schema).toBe('../dist/waivers.schema.json');
    } else {
      expect($schema).toBeUndefined();
      expect(text).toContain('trysquare schema standard > standard.schema.json');
      expect(parse(ledger)).toEqual({ waivers: [] });
      expect(ledger).toContain('trysquare schema waivers > waivers.schema.json');
    }
  }
});
