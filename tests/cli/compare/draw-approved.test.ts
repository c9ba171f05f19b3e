import { expect, it } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { runCli } from '../../support/run-cli.js';
import { tempFolder } from '../../support/temp-folder.js';

const DASHED = 'Dashed: the approved rig';

/** An approved heron, and a delivery with a flipped shin. */
const theatre = (more: Readonly<Record<string, string>> = {}): string =>
  tempFolder({
    'approved/heron.glb': buildGlb('heron'),
    'heron.glb': buildGlb('heron', { faults: [faultNamed('flipped-shin')] }),
    ...more,
  });

it('draw lays an approved rig over the rig, and marks what does not fit', async () => {
  const cwd = theatre();
  const args = ['draw', 'heron.glb', '--only', 'fit'];
  const drawn = await runCli([...args, '--approved', 'approved/heron.glb'], { cwd });
  expect(drawn.code).toBe(0);
  expect(drawn.stdout).toContain(DASHED);
  expect(drawn.stdout).toContain('fit.frame');
  const alone = await runCli(['draw', 'heron.glb'], { cwd });
  expect(alone.stdout).not.toContain(DASHED);
});

it('draw takes the approved rig that the standard names', async () => {
  const approved = { '*.glb': 'approved/heron.glb' };
  const cwd = theatre({ 'trysquare.json': JSON.stringify({ approved }) });
  const { stdout } = await runCli(['draw', 'heron.glb'], { cwd });
  expect(stdout).toContain(DASHED);
  expect(stdout).toContain('fit.frame');
});

it('draw refuses an approved asset that cannot be read', async () => {
  const { code, stdout, stderr } = await runCli(['draw', 'heron.glb', '--approved', 'gone.glb'], {
    cwd: theatre(),
  });
  expect([code, stdout]).toEqual([2, '']);
  expect(stderr).toContain('the approved asset gone.glb cannot be read');
});
