import { expect, test } from 'vitest';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { skinNoise } from '../../src/mend/joints/skin-noise.js';
import { blendTube } from '../support/blend-tube.js';
import { factsOf } from '../support/facts-of.js';
import { chainJoints, tinyGlb } from '../support/tiny-rig.js';

/** Share of size that a mend may move anything by (`docs/mending.md`, The proof). */
const SEEN = 1e-5;

test('a joint may be less off the farther its skin reaches, and no farther than is seen', async () => {
  const rods = chainJoints([
    [0, 0, 0],
    [0, 0, 0],
    [0.9, 0, 0],
    [40, 0, 0],
  ]);
  // Half as much again of each end is rigid: the skin of the second rod ends at 1.
  const tube = blendTube({ from: -0.5, to: 0.5, steps: 4, radius: 0.3 });
  const facts = await factsOf(tinyGlb(rods, tube));
  const reach = Math.hypot(1, 0.3);
  const moved = (skinNoise(facts, 1) * reach) / size(facts);
  expect(moved).toBeLessThan(SEEN);
  expect(moved).toBeGreaterThan(SEEN / 2);
  // What moves no skin shows nothing, and is held to what can be an accident.
  expect(skinNoise(facts, 2)).toBe(1e-4);
});
