import { describe, expect, test } from 'vitest';
import { sideOfName } from '../../../src/measure/names/sides.js';

describe('a side that stands as a part of its own', () => {
  test.each([
    ['arm_L', 'left', 'arm *', 'letter-last'],
    ['arm.R', 'right', 'arm *', 'letter-last'],
    ['arm-l', 'left', 'arm *', 'letter-last'],
    ['arm r', 'right', 'arm *', 'letter-last'],
    ['armL', 'left', 'arm *', 'letter-last'],
    ['L_arm', 'left', '* arm', 'letter-first'],
    ['r.arm', 'right', '* arm', 'letter-first'],
    ['RArm', 'right', '* arm', 'letter-first'],
    ['LeftArm', 'left', '* arm', 'word-first'],
    ['leftArm', 'left', '* arm', 'word-first'],
    ['RIGHT_ARM', 'right', '* arm', 'word-first'],
    ['Arm_Left', 'left', 'arm *', 'word-last'],
    ['arm right', 'right', 'arm *', 'word-last'],
    ['armRight', 'right', 'arm *', 'word-last'],
    ['stage:wing_L', 'left', 'stage wing *', 'letter-last'],
    ['stage:Left_wing', 'left', 'stage * wing', 'word-within'],
    ['wing_L_tip', 'left', 'wing * tip', 'letter-within'],
    ['wing_1_L', 'left', 'wing 1 *', 'letter-last'],
    ['wing_R_001', 'right', 'wing * 001', 'letter-last'],
    ['wingR2', 'right', 'wing * 2', 'letter-last'],
    ['крыло_L', 'left', 'крыло *', 'letter-last'],
    ['L', 'left', '*', 'letter-first'],
  ])('is read from %s: %s, the rest "%s", %s', (name, side, stem, style) => {
    expect(sideOfName(name)).toMatchObject({ side, stem, style, apart: true });
  });
});

describe('a side run together with the rest', () => {
  test.each([
    ['leftarm', 'left', '*arm'],
    ['armright', 'right', 'arm*'],
    ['armleft3', 'left', 'arm*3'],
    ['bright', 'right', 'b*'],
    ['uprightpole', null, null],
  ])('of %s is only read as one that needs a partner: %s', (name, side, stem) => {
    const found = sideOfName(name);
    expect(found === null ? [null, null] : [found.side, found.stem]).toEqual([side, stem]);
    expect(found?.apart ?? false).toBe(false);
  });
});

describe('no side', () => {
  test.each([
    '',
    ' ',
    '_',
    '7',
    'lantern',
    'rod',
    'pillar',
    'Larm',
    'tail_low',
    'girl',
    'left_right',
    'L_R_beam',
    'l_arm_l',
    'leftright',
  ])('is read from "%s"', (name) => {
    expect(sideOfName(name)?.apart ?? false).toBe(false);
    if (name !== 'leftright') expect(sideOfName(name)).toBeNull();
  });
});

test('the two of a pair have one stem and one style, however the side is spelt', () => {
  const spellings: ((side: string) => string)[] = [
    (side) => `wing_${side}_2`,
    (side) => `${side}_wing`,
    (side) => `wing.${side}`,
    (side) => `stage|${side}|wing`,
  ];
  for (const spell of spellings) {
    for (const [l, r] of [
      ['L', 'R'],
      ['l', 'r'],
      ['left', 'right'],
      ['Left', 'Right'],
      ['LEFT', 'RIGHT'],
    ] as const) {
      const [left, right] = [sideOfName(spell(l)), sideOfName(spell(r))];
      expect([left?.side, right?.side]).toEqual(['left', 'right']);
      expect({ ...left, side: null }).toEqual({ ...right, side: null });
    }
  }
});

test('numbers at the end do not count in the loose stem, numbers within do', () => {
  expect(sideOfName('L_rod_12_34')?.looseStem).toBe('* rod');
  expect(sideOfName('L_rod_12_tip_3')?.looseStem).toBe('* rod 12 tip');
});
