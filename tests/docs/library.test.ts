import { readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { transform } from 'esbuild';
import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import * as library from '../../src/index.js';
import { blockAfter } from '../support/docs/blocks.js';
import { readPage } from '../support/docs/read-page.js';
import { repository } from '../support/source-copy.js';
import { tempFolder } from '../support/temp-folder.js';

it('what else of the package the page names can be imported', () => {
  // npm reads this file and exports what it lists.
  const { exports } = JSON.parse(readFileSync(join(repository, 'package.json'), 'utf8')) as {
    exports: Record<string, unknown>;
  };
  const named = [...readPage('docs/library.md').matchAll(/`trysquare(\/[\w./]+)`/g)];
  expect(named).toHaveLength(5);
  for (const [, path] of named) expect(Object.keys(exports)).toContain(`.${path}`);
});

it('the example of the library runs, and tells what the check found', async () => {
  const folder = tempFolder({ 'heron.glb': heron });
  const { told, last } = await runBlock('# ', 'junit', (path) => join(folder, path));
  expect(told).toContainEqual(['error', 'axis.up', 'body/thigh_L/shin_L']);
  expect(String(last)).toContain('<testsuites');
});

it('the example of a folder runs, and tells each verdict and what a mend would write', async () => {
  const folder = tempFolder({
    'puppets/heron.glb': heron,
    'puppets/mule.glb': buildGlb('mule'),
    'trysquare.json': '{ "failing": "error" }',
    'trysquare.waivers.json': '{ "waivers": [] }',
  });
  const { told } = await runBlock('A folder of rigs', 'ledger', (path) => join(folder, path));
  expect(told.slice(0, 2).map(([path, verdict]) => [basename(String(path)), verdict])).toEqual([
    ['heron.glb', 'unsound'],
    ['mule.glb', 'sound'],
  ]);
  expect(told[2]).toEqual([expect.any(Number), 'bytes to write']);
});

const heron = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

/**
 * Runs the block after some words.
 *
 * @param last The name of the value that is given back.
 * @param place Where a path of the block lies.
 */
async function runBlock(words: string, last: string, place: (path: string) => string) {
  const text = blockAfter(readPage('docs/library.md'), words);
  const here = text.replace(/'([\w./]+\.(?:glb|json)|puppets\/)'/g, (_, path: string) =>
    JSON.stringify(place(path)),
  );
  expect(here).not.toBe(text);
  const { code } = await transform(here, { loader: 'ts', target: 'es2022' });
  const [, names = ''] = /^import (\{[^}]*\}) from "trysquare";$/m.exec(code) ?? [];
  for (const name of names.match(/\w+/g) ?? []) expect(Object.keys(library)).toContain(name);
  const told: unknown[][] = [];
  const run = new Function(
    'library',
    'console',
    `return (async () => { const ${names} = library; ${code.replace(/^import.*$/m, '')}; return ${last}; })()`,
  ) as (from: typeof library, log: { log(...words: unknown[]): void }) => Promise<unknown>;
  return { last: await run(library, { log: (...words) => told.push(words) }), told };
}
