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
    'trysquare: fit: no approved rig is named for hall/heron.glb in the standard trysquare.json; add a pattern for it under "approved", or use "trysquare compare APPROVED CANDIDATE"\n',
  );
  const piped = await runCli(['check', '-', '--only', 'fit'], { cwd, stdin: heron });
  expect(piped).toMatchObject({ code: 2, stdout: '' });
  const all = await runCli(['check', 'hall', 'approved', '--only', 'fit.play'], { cwd });
  expect(all.stderr).toContain(
    'fit.play: no approved rig is named for any of these 2 files in the standard trysquare.json',
  );
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
