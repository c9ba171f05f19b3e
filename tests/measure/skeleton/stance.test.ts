// Sources: glTF 2.0, 3.4 Coordinate System and Units (+Y is up, +Z the front, so that left is at +X);
// VRM specification (vrm-c/vrm-specification): 1.0, tpose.md, Definition 1.1 (a model stands "toward the
// +Z axis"); 0.x, README.md, VRM rules ("Model faces towards -Z direction").
import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { castNames } from '../../../fixtures/cast/index.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import type { BuildOptions } from '../../../fixtures/kit/options.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { frontOf, leftOfPairs, upOfLegs } from '../../../src/measure/skeleton/stance.js';
import { angleBetween, type Vec3 } from '../../../src/rig/vec3.js';
import { factsOf } from '../../support/facts-of.js';
import { renameToNothing } from '../../support/vrm.js';

const UP = { index: 1, sign: 1 } as const;
/** Degrees. */
const NEAR = 25;
/** Degrees. */
const EXACT = 1e-3;

const facts = (puppet: Puppet, options: BuildOptions = {}) =>
  factsOf(mainFile(buildPuppet(puppet, options)));

const turned = (name: 'on-its-back' | 'looks-away', puppet: Puppet, degrees: number): Puppet => {
  faultNamed(name).apply(puppet, degrees);
  return puppet;
};

describe.each(castNames)('the %s', (name) => {
  test('stands up along +Y, as far as legs are named, and looks along +Z', async () => {
    const rig = await facts(raisePuppet(name));
    expect(angleBetween(frontOf(rig, UP)?.along ?? [0, 0, 0], [0, 0, 1])).toBeLessThan(EXACT);
    expect(angleBetween(leftOfPairs(rig)?.along ?? [0, 0, 0], [1, 0, 0])).toBeLessThan(EXACT);
    const up = upOfLegs(rig);
    if (name === 'stag-beetle') expect(up).toBeNull();
    else expect(angleBetween(up?.along ?? [0, 0, 0], [0, 1, 0])).toBeLessThan(NEAR);
  });

  test('turned about a vertical looks as many degrees away', async () => {
    for (const degrees of [37, 90, 180]) {
      const rig = await facts(turned('looks-away', raisePuppet(name), degrees));
      const { along } = frontOf(rig, UP) ?? { along: [0, 0, 0] };
      const [sin, cos] = [Math.sin, Math.cos].map((of) => of((degrees * Math.PI) / 180));
      const wanted: Vec3 = [sin ?? 0, 0, cos ?? 0];
      expect(angleBetween(along, wanted)).toBeLessThan(EXACT);
    }
  });
});

test('what lies on its back stands along an axis of the world, and its front follows', async () => {
  const rig = await facts(turned('on-its-back', raisePuppet('mule'), 90));
  expect(angleBetween(upOfLegs(rig)?.along ?? [0, 0, 0], [0, 0, 1])).toBeLessThan(NEAR);
  expect(angleBetween(frontOf(rig, UP)?.along ?? [0, 0, 0], [0, -1, 0])).toBeLessThan(EXACT);
});

test.each([
  ['1.0', [0, 0, 1]],
  ['0.x', [0, 0, -1]],
] as const)('a mapping by VRM %s tells it without any names', async (vrm, front) => {
  const puppet = raisePuppet('marionette');
  renameToNothing(puppet);
  const rig = await facts(puppet, { vrm });
  expect(angleBetween(upOfLegs(rig)?.along ?? [0, 0, 0], [0, 1, 0])).toBeLessThan(NEAR);
  expect(angleBetween(frontOf(rig, UP)?.along ?? [0, 0, 0], front)).toBeLessThan(EXACT);
});

test('without names or a mapping nothing is told', async () => {
  const puppet = raisePuppet('marionette');
  renameToNothing(puppet);
  const rig = await facts(puppet);
  expect([upOfLegs(rig), leftOfPairs(rig), frontOf(rig, UP)]).toEqual([null, null, null]);
});
