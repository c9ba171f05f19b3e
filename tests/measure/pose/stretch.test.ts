import { expect, it } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { stretches } from '../../../src/measure/pose/stretch.js';
import { bodyRoot } from '../../../src/measure/skeleton/body-root.js';
import { factsOf } from '../../support/facts-of.js';

it.each([0, 60])(
  'a stretched bone is found below a root without skin, %s %% of size off',
  async (off) => {
    const faults = [
      { fault: faultNamed('far-perch'), amount: off },
      { fault: faultNamed('stretching-neck'), amount: 15 },
    ];
    const facts = await factsOf(buildGlb('heron', { faults }));
    const { names } = facts.rig.joints;
    // Two children move skin, so that the perch is the body root, though it moves none.
    expect(names[bodyRoot(facts).joint]).toBe(off === 0 ? 'body' : 'perch');
    const [found, ...others] = stretches(facts).list;
    expect(names[found?.joint ?? -1]).toBe('neck_mid');
    expect(found?.percent).toBeCloseTo(15, 3);
    expect(others).toEqual([]);
  },
);
