import { expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { bindPose } from '../../../src/measure/pose/bind-pose.js';
import { restAgainstBind } from '../../../src/measure/pose/rest-against-bind.js';
import { holders } from '../../../src/mend/repairs/holders.js';
import { runRepair } from '../../mend/run-repair.js';
import { factsOf } from '../../support/facts-of.js';

/** Stored in another pose than it was bound in, below the conversion that an export left. */
const posed = leaning();

/** The joint that moves most skin leans, and the carrier above it stands upright. */
function leaning(): Uint8Array {
  const puppet = raisePuppet('marionette', { faults: [faultNamed('quarter-turn-holder')] });
  puppet.pose('hips', 'up', 25);
  puppet.pose('forearm_L', 'up', 30);
  return mainFile(buildPuppet(puppet));
}

/** How far the stored pose moves the skin, and where the joints stood when they were bound. */
async function measured(bytes: Uint8Array) {
  const facts = await factsOf(bytes);
  return { shift: restAgainstBind(facts).shift, places: bindPose(facts).places.flat() };
}

/** Of lengths of a rig some two metres tall. Metres. */
const NEAR = 1e-4;

async function expectTheSame(other: Uint8Array): Promise<void> {
  const [before, after] = [await measured(posed), await measured(other)];
  expect(before.shift).toBeGreaterThan(100 * NEAR);
  expect(Math.abs(after.shift - before.shift)).toBeLessThan(NEAR);
  const apart = after.places.map((value, at) => Math.abs(value - (before.places[at] ?? Infinity)));
  expect(Math.max(...apart)).toBeLessThan(NEAR);
}

test('a posed rig stands as it stood once its holders are cleared', async () => {
  const { bytes, remaining } = await runRepair(holders, posed);
  expect(remaining).toEqual([]);
  await expectTheSame(bytes);
});
