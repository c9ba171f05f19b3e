// Source: three.js (npm `three`), which poses a file by its own clip at the time found (`AnimationMixer`) and
// skins it (`SkinnedMesh.applyBoneTransform`), see `skins-in-three.ts`. The stored pose is skinned by it too.
import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { restInClip } from '../../fixtures/kit/changes.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import type { Facts } from '../../src/measure/facts.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { posedJoints } from '../../src/measure/pose/posed-joints.js';
import { restAgainstBind } from '../../src/measure/pose/rest-against-bind.js';
import { findStoredPose } from '../../src/measure/pose/stored-pose.js';
import { farthest, placesIn, REST } from '../mend/skins-in-three.js';
import { factsOf } from '../support/facts-of.js';
import { storedAt } from '../support/stored-at.js';
import { loadInThree } from '../support/three-scene.js';

/** What the rule tolerates: 0.1 % of size, or 3 % of the displacement where that is more. */
function tolerated(facts: Facts): number {
  return Math.max(0.001 * size(facts), 0.03 * restAgainstBind(facts).shift);
}

function momentOf(facts: Facts) {
  const posed = posedJoints(facts, 0.001 * size(facts));
  return { posed, moment: findStoredPose(facts, posed, tolerated(facts)) };
}

const CAST = ['heron', 'mule', 'caterpillar', 'stag-beetle'] as const;
const SHARES = [0.137, 0.31, 0.459, 0.77];

describe.each(CAST)('%s, stored in a pose of its clip between two keys', (cast) => {
  test.each(SHARES)(
    'at %f of it: three.js shows the stored pose at the time found',
    async (share) => {
      const { bytes, name, channels } = storedAt(cast, share);
      expect(channels).toBeGreaterThan(0);
      const facts = await factsOf(bytes);
      const { moment, posed } = momentOf(facts);
      expect(posed.length).toBeGreaterThan(0);
      expect(moment?.clip).toBe(name);
      const scene = await loadInThree(bytes);
      const index = scene.clips.findIndex((clip) => clip.name === name);
      const stored = placesIn(scene, REST);
      const shown = placesIn(scene, [index, moment?.time ?? -1]);
      expect(shown.length).toBeGreaterThan(100);
      expect(farthest(stored, shown)).toBeLessThan(tolerated(facts));
      // The measure says itself how near it came; it looks at boxes, so that no vertex is farther off.
      expect(farthest(stored, shown)).toBeLessThanOrEqual((moment?.off ?? 0) + 1e-5 * size(facts));
    },
  );
});

/** A marionette that is stored in its clip "wave" between keys, and then changed. */
async function waving(change: (puppet: Puppet) => void) {
  const puppet = raisePuppet('marionette');
  restInClip(puppet, 'wave', 0.918);
  change(puppet);
  return momentOf(await factsOf(mainFile(buildPuppet(puppet))));
}

test('a joint that the clip leaves alone does not hide the clip', async () => {
  const { moment, posed } = await waving((puppet) => puppet.pose('head', 'up', 25));
  expect(posed).toHaveLength(3);
  expect(moment?.clip).toBe('wave');
});

test('a clip that keys less than a third of the posed joints is no evidence', async () => {
  const many = ['head', 'neck', 'shin_L', 'shin_R', 'forearm_R'];
  const { moment, posed } = await waving((puppet) => {
    for (const joint of many) puppet.pose(joint, 'up', 25);
  });
  expect(posed).toHaveLength(7);
  expect(moment).toBeNull();
});

test('a pose that is in no clip is found in none', async () => {
  const { moment } = await waving((puppet) => puppet.pose('forearm_L', 'side', 30));
  expect(moment).toBeNull();
});
