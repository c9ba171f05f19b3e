import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const heron = buildGlb('heron');

/** A hall with a heron, and an approved one beside it. */
function house(approved: Readonly<Record<string, string>>): string {
  return tempFolder({
    'trysquare.json': JSON.stringify({ approved }),
    'approved/heron.glb': heron,
    'hall/heron.glb': heron,
  });
}

it('a file with no approved rig of its own is not passed by the rules about approved rigs', async () => {
  const cwd = house({ 'hall/mule*.glb': 'approved/heron.glb' });
  const one = await runCli(['check', 'hall/heron.glb', '--only', 'fit'], { cwd });
  expect(one).toMatchObject({ code: 2, stdout: '' });
  expect(one.stderr).toBe(
    'trysquare: fit: no approved rig is named for hall/heron.glb in the standard trysquare.json, so nothing is judged there; add a pattern under "approved", or use "trysquare compare APPROVED CANDIDATE"\n',
  );
  const piped = await runCli(['check', '-', '--only', 'fit'], { cwd, stdin: heron });
  expect(piped).toMatchObject({ code: 2, stdout: '' });
  const all = await runCli(['check', 'hall', 'approved', '--only', 'fit.play'], { cwd });
  expect(all.stderr).toContain(
    'fit.play: no approved rig is named for approved/heron.glb and 1 more file in the standard trysquare.json, so',
  );
  // An approved rig need not fit itself.
  const some = house({ 'hall/heron.glb': 'approved/heron.glb' });
  const args = ['check', 'hall', 'approved', '--only', 'fit.unit'];
  expect(await runCli(args, { cwd: some })).toMatchObject({ code: 0, stderr: '' });
  writeFileSync(join(some, 'hall/other.glb'), heron);
  const { code, stderr } = await runCli(args, { cwd: some });
  expect([code, stderr]).toEqual([
    0,
    expect.stringMatching(
      /^trysquare: fit\.unit: no approved rig is named for hall\/other\.glb in .+\n$/,
    ),
  ]);
});

it('a pattern that fits nothing in a folder that is searched is told once', async () => {
  const cwd = house({
    'hall/heron*.glb': 'approved/heron.glb',
    'hall/mule*.glb': 'approved/heron.glb',
    'stage/*.glb': 'approved/heron.glb',
  });
  const told = async (...args: string[]) =>
    (await runCli(['check', ...args, '--only', 'fit.unit'], { cwd })).stderr.replace(
      /trysquare: the standard trysquare\.json: the pattern ("[^"]+") under "approved" fits no file that was found; correct it, or leave it out\n/g,
      '$1 ',
    );
  expect(await told('hall')).toBe('"hall/mule*.glb" ');
  expect(await told('.')).toBe('"hall/mule*.glb" "stage/*.glb" ');
  expect(await told('hall/heron.glb')).toBe('');
});
