import { describe, expect, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import type { CastName } from '../../../fixtures/kit/fault.js';
import type { Convention } from '../../../fixtures/kit/frames.js';
import { axisName, type Facts } from '../../../src/measure/facts.js';
import { conventions } from '../../../src/measure/skeleton/conventions.js';
import { type MirrorScheme, mirror } from '../../../src/measure/skeleton/mirror.js';
import { aimedConventions, tell } from '../../fixtures/conventions.js';
import { factsOf } from '../../support/facts-of.js';

/** Members of the cast with limbs in pairs. */
const limbed: CastName[] = ['heron', 'mule', 'marionette', 'stag-beetle'];
const named = {
  'negate-all': 'all reversed',
  'negate-aim': 'aim reversed',
  'negate-up': 'up reversed',
  'negate-side': 'side reversed',
} as const;

/** Float32 matrices of two frames. Degrees. */
const FLOAT32_DEGREES = 1e-4;

/**
 * The scheme's name as the rig can show it. Where no level bone tells which of two axes is up, up and
 * side are only names, and may stand the other way round.
 */
function schemeOf({ mirror: built, up: meant }: Convention, facts: Facts): MirrorScheme {
  const { up, upKnown } = conventions(facts);
  if (up !== null && axisName(up).slice(1) === meant.slice(1)) return named[built];
  expect(upKnown).toBe(false);
  if (built === 'negate-up') return 'side reversed';
  return built === 'negate-side' ? 'up reversed' : named[built];
}

describe.each(limbed)('the pairs of the %s', (name) => {
  test.each(aimedConventions.map((convention) => [tell(convention), convention] as const))(
    'under %s follow the scheme they were built by, all of them',
    async (_title, convention) => {
      const facts = await factsOf(buildGlb(name, { convention }));
      const scheme = schemeOf(convention, facts);
      const found = mirror(facts);
      expect(found.scheme).toBe(scheme);
      expect(found.pairs.length).toBeGreaterThan(2);
      expect(found.agree).toBe(found.pairs.length);
      for (const { miss } of found.pairs) expect(miss[scheme]).toBeLessThan(FLOAT32_DEGREES);
    },
  );

  test('whose right frames are those of the left are copied', async () => {
    const puppet = raisePuppet(name);
    for (const joint of puppet.joints)
      if (joint.name.endsWith('_R'))
        joint.rotation = puppet.joint(joint.name.replace(/_R$/, '_L')).rotation;
    const found = mirror(await factsOf(mainFile(buildPuppet(puppet))));
    expect(found.scheme).toBe('copied');
    expect(found.agree).toBe(found.pairs.length);
  });
});

test('pairs that agree on nothing have no scheme', async () => {
  const puppet = raisePuppet('marionette');
  let turn = 0;
  for (const joint of puppet.joints)
    if (joint.name.endsWith('_R')) {
      puppet.turnFrame(joint.name, 'aim', 37 + 61 * turn);
      puppet.turnFrame(joint.name, 'side', 53 * turn++);
    }
  const found = mirror(await factsOf(mainFile(buildPuppet(puppet))));
  expect(found.pairs.length).toBeGreaterThan(5);
  expect(found.scheme).toBeNull();
});

test('a turn of one right frame is the miss of that pair, and of no other', async () => {
  const puppet = raisePuppet('mule');
  puppet.turnFrame('gaskin_R', 'aim', 20);
  const facts = await factsOf(mainFile(buildPuppet(puppet)));
  const off = mirror(facts).pairs.flatMap(({ pair, miss }) =>
    miss['side reversed'] > FLOAT32_DEGREES
      ? [[facts.rig.joints.names[pair.right], Math.round(1000 * miss['side reversed']) / 1000]]
      : [],
  );
  expect(off).toEqual([['gaskin_R', 20]]);
});
