import { expect, test } from 'vitest';
import { build, buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { findingsOf } from '../../support/findings-of.js';

async function saidOf(name: string, amount?: number) {
  const fault = faultNamed(name);
  const bytes = mainFile(
    build(fault.puppet, { faults: [{ fault, amount: amount ?? fault.failing }] }),
  );
  const { findings } = await findingsOf(bytes, fault.rule);
  return findings[0];
}

// Each fault turns its frames about one axis by one angle: the remedy has to be the turn back.
test('an aim that misses is turned back about the axis that it was turned about, on both sides', async () => {
  expect((await saidOf('crooked-elbows'))?.remedy).toContain(
    'by 20° about its -Z axis (right-handed) so that +Y points at "hand_L", and that of "forearm_R" by 20° about its +Z axis (right-handed), mirrored',
  );
  expect((await saidOf('crooked-elbows', -20))?.remedy).toContain('by 20° about its +Z axis');
});

test('an aim that is the other way round is turned about the up axis, which then needs no turn of its own', async () => {
  const found = await saidOf('backward-loin');
  expect(found?.measured).toBeCloseTo(180, 3);
  expect(found?.remedy).toContain('by 180° about its +Z axis (right-handed)');
});

test('a roll is turned back about the aim axis, with its letter', async () => {
  expect((await saidOf('flipped-shin', 40))?.remedy).toContain(
    'Turn its frame by -40° about its aim axis +Y (right-handed)',
  );
});

test('an end joint is told the one way that mends it', async () => {
  expect((await saidOf('square-head'))?.remedy).toContain('Give it the frame of "ring_fore_4"');
  const puppet = raisePuppet('caterpillar');
  puppet.turnFrame('head', 'aim', 30);
  const { findings } = await findingsOf(mainFile(buildPuppet(puppet)), 'axis.end');
  expect(findings[0]?.remedy).toContain(
    'Turn its frame by -30° about its aim axis (right-handed), so that its up axis follows that of "ring_fore_4"',
  );
});
