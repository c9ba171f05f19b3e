// Sources: glTF 2.0, 3.4 Coordinate System and Units (+Y is up, +Z the front, so that left is at +X);
// VRM specification (vrm-c/vrm-specification): 1.0, tpose.md, Definition 1.1 (a model stands "toward the
// +Z axis"); 0.x, README.md, VRM rules ("Model faces towards -Z direction").
import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { castNames } from '../../../fixtures/cast/index.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { shareSkin } from '../../../fixtures/kit/changes.js';
import type { BuildOptions } from '../../../fixtures/kit/options.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { frontOf, leftOfPairs } from '../../../src/measure/skeleton/front.js';
import { upOfLegs } from '../../../src/measure/skeleton/legs.js';
import type { Way } from '../../../src/measure/skeleton/way.js';
import { angleBetween, type Vec3 } from '../../../src/rig/vec3.js';
import { factsOf } from '../../support/facts-of.js';
import { renameToNothing } from '../../support/vrm.js';

const UP = { index: 1, sign: 1 } as const;
/** Those whose names tell legs; a beetle's reach out all round, and a caterpillar's feet hang on its body. */
const LEGGED = ['heron', 'mule', 'marionette'];
/** Degrees. */
const NEAR = 25;
/** Degrees. */
const EXACT = 1e-3;

const facts = (puppet: Puppet, options: BuildOptions = {}) =>
  factsOf(mainFile(buildPuppet(puppet, options)));

/** Degrees; what tells nothing is as far off as can be. */
const off = (way: Way | null, wanted: Vec3): number =>
  way === null ? 180 : angleBetween(way.along, wanted);

const turned = (name: 'on-its-back' | 'looks-away', puppet: Puppet, degrees: number): Puppet => {
  faultNamed(name).apply(puppet, degrees);
  return puppet;
};

describe.each(castNames)('the %s', (name) => {
  test('stands up along +Y, as far as legs are named, and looks along +Z', async () => {
    const rig = await facts(raisePuppet(name));
    expect(off(frontOf(rig, UP), [0, 0, 1])).toBeLessThan(EXACT);
    expect(off(leftOfPairs(rig), [1, 0, 0])).toBeLessThan(EXACT);
    const up = upOfLegs(rig);
    if (!LEGGED.includes(name)) expect(up).toBeNull();
    else expect(off(up, [0, 1, 0])).toBeLessThan(NEAR);
  });

  test('turned about a vertical looks as many degrees away', async () => {
    for (const degrees of [37, 90, 180]) {
      const rig = await facts(turned('looks-away', raisePuppet(name), degrees));
      const [sin, cos] = [Math.sin, Math.cos].map((of) => of((degrees * Math.PI) / 180));
      const wanted: Vec3 = [sin ?? 0, 0, cos ?? 0];
      expect(off(frontOf(rig, UP), wanted)).toBeLessThan(EXACT);
    }
  });
});

test('what lies on its back stands along an axis of the world, and its front follows', async () => {
  const rig = await facts(turned('on-its-back', raisePuppet('mule'), 90));
  expect(off(upOfLegs(rig), [0, 0, 1])).toBeLessThan(NEAR);
  expect(off(frontOf(rig, UP), [0, -1, 0])).toBeLessThan(EXACT);
});

test.each([
  ['1.0', [0, 0, 1]],
  ['0.x', [0, 0, -1]],
] as const)('a mapping by VRM %s tells it without any names', async (vrm, front) => {
  const puppet = raisePuppet('marionette');
  renameToNothing(puppet);
  const rig = await facts(puppet, { vrm });
  expect(off(upOfLegs(rig), [0, 1, 0])).toBeLessThan(NEAR);
  expect(off(frontOf(rig, UP), front)).toBeLessThan(EXACT);
});

test('without names or a mapping nothing is told', async () => {
  const puppet = raisePuppet('marionette');
  renameToNothing(puppet);
  const rig = await facts(puppet);
  expect([upOfLegs(rig), leftOfPairs(rig), frontOf(rig, UP)]).toEqual([null, null, null]);
});

/** Hangs three joints beside the left leg and three beside the right one, each from the one before. */
function addLimb(puppet: Puppet, names: readonly string[], weighted: boolean): void {
  for (const [side, x] of [
    ['L', 0.1],
    ['R', -0.1],
  ] as const)
    names.forEach((name, at) => {
      const body = puppet.joint('thigh_L').parent;
      const { rotation, scale } = puppet.joint(body ?? '');
      puppet.joints.push({
        name: `${name}_${side}`,
        parent: at === 0 ? body : `${names[at - 1]}_${side}`,
        position: [x, 0.1, 0.2 + 3 * at],
        rotation,
        scale,
        weighted,
        listed: true,
      });
    });
}

test('controls that solvers pull feet by, and feet that hang on the body, are no legs', async () => {
  const puppet = raisePuppet('marionette');
  addLimb(puppet, ['ctrl_leg', 'ctrl_heel', 'ctrl_toe'], false);
  addLimb(puppet, ['loose', 'loose_foot'], true);
  for (const side of ['L', 'R']) shareSkin(puppet, `foot_${side}`, `loose_foot_${side}`);
  expect(off(upOfLegs(await facts(puppet)), [0, 1, 0])).toBeLessThan(NEAR);
});

test('a leg is told from its top to its first foot', async () => {
  const rig = await facts(raisePuppet('marionette'));
  const names = upOfLegs(rig)?.joints.map((joint) => rig.rig.joints.names[joint]);
  expect(names).toEqual(['thigh_L', 'foot_L', 'thigh_R', 'foot_R']);
});

test('a mapping goes before names that tell otherwise', async () => {
  const puppet = raisePuppet('marionette');
  for (const name of puppet.below('collarbone_L').concat(puppet.below('collarbone_R'))) {
    const [stem = '', side = ''] = name.split(/_(?=[LR]$)/);
    puppet.joint(name).label = `foot ${stem}_${side}`;
  }
  const rig = await facts(puppet, { vrm: '1.0' });
  const names = upOfLegs(rig)?.joints.map((joint) => rig.rig.joints.names[joint]);
  expect(names).toEqual(['thigh_L', 'foot_L', 'thigh_R', 'foot_R']);
});

test('sides that lie above each other tell no front', async () => {
  // No legs of a caterpillar are told, so that the vertical asked for is what is up.
  const rig = await facts(raisePuppet('caterpillar'));
  const sideways = { index: 0, sign: 1 } as const;
  expect(frontOf(rig, sideways)).toBeNull();
  const turnedBy = (degrees: number) =>
    facts(turned('looks-away', raisePuppet('caterpillar'), degrees));
  expect(frontOf(await turnedBy(50), sideways)).toBeNull();
  expect(frontOf(await turnedBy(70), sideways)).not.toBeNull();
  expect(frontOf(rig, UP)).not.toBeNull();
});
