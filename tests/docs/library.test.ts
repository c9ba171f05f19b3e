import { readFileSync } from 'node:fs';
import { join } from 'node:path';
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
  expect(named).toHaveLength(3);
  for (const [, path] of named) expect(Object.keys(exports)).toContain(`.${path}`);
});

it('the example of the library runs, and tells what the check found', async () => {
  const text = blockAfter(readPage('docs/library.md'), '# ');
  const folder = tempFolder({
    'heron.glb': buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
  });
  const here = text.replace("'heron.glb'", `'${folder}/heron.glb'`);
  const { code } = await transform(here, { loader: 'ts', target: 'es2022' });
  const [, names = ''] = /^import (\{[^}]*\}) from "trysquare";$/m.exec(code) ?? [];
  for (const name of names.match(/\w+/g) ?? []) expect(Object.keys(library)).toContain(name);
  const told: unknown[][] = [];
  const run = new Function(
    'library',
    'console',
    `return (async () => { const ${names} = library; ${code.replace(/^import.*$/m, '')}; return junit; })()`,
  ) as (from: typeof library, log: { log(...words: unknown[]): void }) => Promise<unknown>;
  const junit = await run(library, { log: (...words) => told.push(words) });
  expect(told).toContainEqual(['error', 'axis.up', 'body/thigh_L/shin_L']);
  expect(String(junit)).toContain('<testsuites');
});
