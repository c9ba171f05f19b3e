import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

// The plan is told after the last look at what is there, and before anything is written: the moment
// at which another run comes first.
it.each([
  { flags: ['--in-place'], taken: 'heron.glb.before-mend' },
  { flags: ['--out', 'mended.glb'], taken: 'mended.glb' },
])('mend $flags keeps what another run wrote while it was mending', async ({ flags, taken }) => {
  const bytes = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });
  const cwd = tempFolder({ 'heron.glb': bytes });
  const { code, stdout, stderr } = await runCli(['mend', 'heron.glb', ...flags], {
    cwd,
    onOutput: () => writeFileSync(join(cwd, taken), 'of the other run'),
  });
  expect(stdout).not.toBe('');
  expect([code, stderr]).toEqual([
    2,
    `trysquare: ${taken} cannot be written: another program put a file there during the run, and it was not changed; run the command again\n`,
  ]);
  expect(readFileSync(join(cwd, taken), 'utf8')).toBe('of the other run');
  expect(readFileSync(join(cwd, 'heron.glb')).equals(Buffer.from(bytes))).toBe(true);
  expect(readdirSync(cwd).sort()).toEqual(['heron.glb', taken].sort());
});
