import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { rules } from '../../../rules/index.js';
import { parseStandard } from '../../../src/standard/read-standard.js';
import { findingsOf } from '../../support/findings-of.js';

const check = (
  rule: string,
  standard: object,
  change: (heron: Puppet) => void = () => undefined,
) => {
  const heron = raisePuppet('heron');
  change(heron);
  const { settings } = parseStandard(JSON.stringify(standard), 'house.json', rules);
  return findingsOf(mainFile(buildPuppet(heron)), rule, settings);
};

const joints = (written: object): object => ({ contract: { joints: written } });

describe('joints that a standard asks for', () => {
  const required = joints({ required: ['shin_L', 'shin_?', 'hook', 'claw_*', 'body'] });

  test('are told in one finding a rig, those that are there left out', async () => {
    const { findings, measured } = await check('house.required', required);
    expect(
      findings.map(({ message, counts, measured, limit }) => [message, counts, measured, limit]),
    ).toEqual([
      [
        '2 of 5 joints that the standard asks for are missing (limit 0): "hook", "claw_*".',
        { looked: 5, short: 2 },
        2,
        0,
      ],
    ]);
    expect(findings[0]?.place.kind).toBe('rig');
    expect(measured).toMatchObject([{ kind: 'judged', looked: 5, short: 2, of: 'joints' }]);
  });

  test('are not found in the name that a joint without one is shown by', async () => {
    const nameless = (heron: Puppet): void => {
      heron.joint('neck_mid').label = null;
    };
    const said = await check('house.required', joints({ required: ['unnamed*'] }), nameless);
    expect(said.findings).toHaveLength(1);
  });

  test('with a slash in their name are found by a star and by their name', async () => {
    const slashed = (heron: Puppet): void => {
      heron.joint('neck_mid').label = 'rig/neck';
    };
    const names = { required: ['rig/neck', 'rig*', '*/neck'] };
    expect((await check('house.required', joints(names), slashed)).findings).toEqual([]);
    expect((await check('house.required', joints(names))).findings).toHaveLength(1);
  });
});

describe('joints that a standard forbids', () => {
  test('are told in one finding with all their places', async () => {
    const { findings } = await check(
      'house.forbidden',
      joints({ forbidden: ['tail_*', 'none', 'neck_mid', 'neck'] }),
    );
    expect(
      findings.map(({ message, places }) => [message, places.map(({ name }) => name)]),
    ).toEqual([
      [
        '4 joints have names that the standard forbids by "neck_mid", "tail_*" (limit 0): "neck_mid", "tail_root", "tail_mid", "tail_tip".',
        ['neck_mid', 'tail_root', 'tail_mid', 'tail_tip'],
      ],
    ]);
  });
});

describe('more joints than a standard allows', () => {
  test('are told with how many have to go, and as many as allowed are not', async () => {
    const count = raisePuppet('heron').joints.length;
    const { findings } = await check('house.joints', joints({ most: count - 1 }));
    expect(findings.map(({ message, remedy }) => [message, remedy])).toEqual([
      [
        `The rig has ${count} joints, more than the standard allows (limit ${count - 1}).`,
        'Leave out at least 1 joint: first those that move nothing.',
      ],
    ]);
    expect((await check('house.joints', joints({ most: count }))).findings).toEqual([]);
  });
});

describe('names that do not follow the pattern', () => {
  const names = { names: { digits: 2, checked: 'all' } };

  test('are one finding a rig, in joint order, without those that other rules tell of', async () => {
    const change = (heron: Puppet): void => {
      heron.joint('neck_mid').label = 'neck2';
      heron.joint('neck_high').label = null;
      heron.joint('tail_mid').label = 'joint12';
      heron.joint('toe_R').label = 'right_toe';
    };
    const { findings, measured } = await check('house.names', names, change);
    expect(
      findings.map(({ counts, places }) => [counts?.short, places.map(({ name }) => name)]),
    ).toEqual([
      [7, ['neck2', 'wing_1_L', 'wing_2_L', 'wing_3_L', 'wing_1_R', 'wing_2_R', 'wing_3_R']],
    ]);
    expect(findings[0]?.message).toContain('with at least 2 digits (limit 0): "neck2", "wing_1_L"');
    expect(measured).toMatchObject([{ kind: 'judged', short: 7, elsewhere: 2 }]);
  });

  test('are not looked at where the standard asks for sides alone', async () => {
    const { measured } = await check('house.names', { names: { digits: 2 } });
    expect(measured).toEqual([]);
  });
});
