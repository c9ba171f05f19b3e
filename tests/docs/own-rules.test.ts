// Source of the judge: the compiler of npm `typescript`, at its strictest, and once loosened to see that it judges.
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { blockAfter } from '../support/docs/blocks.js';
import { readPage } from '../support/docs/read-page.js';
import { repository } from '../support/source-copy.js';
import { tempFolder } from '../support/temp-folder.js';

const example = blockAfter(readPage('docs/own-rules.md'), '<!-- example: house/stage.mjs -->');

/** What the compiler says of the example, and of the same with one slip each. */
it('the example of a rule is right in its types, and each slip in it would be told', () => {
  const slips = {
    level: example.replace("level: 'warning',\n  title", "level: 'grave',\n  title"),
    limit: example.replaceAll('limits.length', 'limits.width'),
    detail: example.replace('details.above', 'details.below'),
    name: example.replace('boneLengths, findingsOf', 'boneLength, findingsOf'),
  };
  const files = { right: example, ...slips };
  const told = diagnose(files);
  expect(told.filter((line) => line.startsWith('right.mjs'))).toEqual([]);
  for (const [name, text] of Object.entries(slips)) {
    expect(text).not.toBe(example);
    expect(told.some((line) => line.startsWith(`${name}.mjs`))).toBe(true);
  }
});

/** What the compiler says of modules that import from `trysquare`, a line each. */
function diagnose(modules: Readonly<Record<string, string>>): string[] {
  const project = {
    extends: join(repository, 'tsconfig.json'),
    compilerOptions: {
      allowJs: true,
      checkJs: true,
      typeRoots: [join(repository, 'node_modules/@types')],
      paths: { trysquare: [join(repository, 'src/index.ts')] },
    },
    include: ['*.mjs'],
    exclude: [],
  };
  const files = Object.entries(modules).map(([name, text]) => [`${name}.mjs`, text] as const);
  const cwd = tempFolder({
    'tsconfig.json': JSON.stringify(project),
    ...Object.fromEntries(files),
  });
  const tsc = join(repository, 'node_modules/typescript/bin/tsc');
  const { stdout } = spawnSync(process.execPath, [tsc, '--noEmit', '-p', cwd], {
    cwd,
    encoding: 'utf8',
  });
  return stdout.split('\n').filter((line) => line !== '');
}
