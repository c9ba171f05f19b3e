import { expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import type { CastName } from '../../../fixtures/kit/fault.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import type { Vec3 } from '../../../fixtures/kit/vectors.js';
import { findingsOf, withLimit } from '../../support/findings-of.js';

const check = (
  cast: CastName,
  change: (puppet: Puppet) => void,
  rule: string,
  settings: Parameters<typeof findingsOf>[2] = {},
) => {
  const puppet = raisePuppet(cast);
  change(puppet);
  return findingsOf(mainFile(buildPuppet(puppet)), rule, settings);
};

const scaled =
  (joint: string, scale: Vec3) =>
  (puppet: Puppet): void => {
    puppet.joint(joint).scale = scale;
  };

test('a joint scaled 2, 2.01, 2 gets one of the two findings, whatever the limit', async () => {
  const change = scaled('beak_tip', [2, 2.01, 2]);
  const both = async (uneven: number): Promise<number[]> => {
    const limits = withLimit('scale.nonuniform', { uneven });
    return Promise.all(
      ['scale.nonuniform', 'scale.unit'].map(
        async (rule) => (await check('heron', change, rule, limits)).findings.length,
      ),
    );
  };
  expect(await both(0.1)).toEqual([1, 0]);
  expect(await both(1)).toEqual([0, 1]);
});

test('an unequal scale is a warning up to the second limit and an error past it', async () => {
  const levels = async (by: number, limits = {}): Promise<string[]> => {
    const settings = withLimit('scale.nonuniform', limits);
    const change = scaled('beak_tip', [1, by, 1]);
    const { findings } = await check('heron', change, 'scale.nonuniform', settings);
    return findings.map(({ level, limit }) => `${level} ${limit}`);
  };
  expect(await levels(1.049)).toEqual(['warning 0.1']);
  expect(await levels(1.051)).toEqual(['error 5']);
  expect(await levels(1.051, { error: 10 })).toEqual(['warning 0.1']);
  expect(await levels(1.049, { uneven: 6 })).toEqual([]);
});

test('the cause of skew is found by the limit of scale.nonuniform', async () => {
  const change = (puppet: Puppet): void => {
    puppet.joint('thigh_L').scale = [1, 1.2, 1.4];
    puppet.joint('shin_L').scale = [1, 1.005, 1];
  };
  const { findings } = await check('heron', change, 'scale.shear');
  expect(
    findings.map(({ message }) => /The cause is the scale of "(\w+)"/.exec(message)?.[1]),
  ).toEqual(['thigh_L']);
});

test('many joints of one scale are one finding, which lists them', async () => {
  const names = ['neck_low', 'neck_mid', 'neck_high'];
  const change = (puppet: Puppet): void => {
    for (const name of names) puppet.joint(name).scale = [0.05, 0.05, 0.05];
  };
  const { findings } = await check('heron', change, 'scale.unit');
  expect(findings).toHaveLength(1);
  expect(findings[0]?.places.map(({ name }) => name)).toEqual(names);
  expect(findings[0]?.counts?.short).toBe(3);
  expect(findings[0]?.message).toMatch(
    /is scaled by 0\.05 \(limit 0\.1 % away from 1\)\. 2 more nodes are scaled by the same factor\./,
  );
});

const pulse =
  (joint: string, scale: Vec3) =>
  (puppet: Puppet): void => {
    puppet.clip().channels.push({
      joint,
      path: 'scale',
      interpolation: 'LINEAR',
      times: [0, 1, 2],
      scales: [[1, 1, 1], scale, [1, 1, 1]],
    });
  };

test.each([
  ['to zero at 1 s', [0, 0, 0], 'warning'],
  ['to zero along an axis at 1 s', [1, 0, 1], 'warning'],
  ['unequally, by 1 x 1.2 x 1, 20 % between its axes, at 1 s', [1, 1.2, 1], 'warning'],
  ['by 300 at 1 s', [300, 300, 300], 'note'],
] as const)('a clip that scales a head %s says so', async (words, scale, level) => {
  const { findings } = await check('caterpillar', pulse('head', [...scale]), 'scale.animated');
  expect(findings.map((finding) => [finding.level, finding.message])).toEqual([
    [level, expect.stringContaining(`scales "head" ${words}`)],
  ]);
});

test('a joint without skin is a note, and several joints are one finding', async () => {
  const alone = await check('heron', pulse('beak_tip', [1, 2, 1]), 'scale.animated');
  expect(alone.findings.map(({ level }) => level)).toEqual(['note']);
  const both = (puppet: Puppet): void => {
    pulse('beak_tip', [1, 9, 1])(puppet);
    pulse('head', [1, 1.5, 1])(puppet);
  };
  const { findings } = await check('heron', both, 'scale.animated');
  expect(findings.map(({ level, place, places }) => [level, place.name, places.length])).toEqual([
    ['warning', 'head', 2],
  ]);
  expect(findings[0]?.message).toContain('In all, 2 joints in 1 clip.');
});
