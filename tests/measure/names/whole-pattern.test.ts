import { expect, test } from 'vitest';
import { followsWhole } from '../../../src/measure/names/whole-pattern.js';
import { namesFrom } from '../../../src/standard/read-standard.js';

const patternOf = (pattern: string, sides: string, digits = 1) =>
  namesFrom({ pattern, sides, digits }, (_, message) => {
    throw new Error(message);
  });

test.each([
  [
    patternOf('{name}{_number}{_side}', 'L/R'),
    ['root', 'wing_L', 'wing_2_L', 'wing_12_R', 'upper_arm_L', 'spine_7', 'c3po', 'straße_1', 'Ω'],
    [
      'wing2',
      'wing2_L',
      'wing_L_2',
      'L_wing',
      'wing-2',
      'wing_l',
      'wing_left',
      '2_wing',
      '_wing',
      'wing_',
      '7',
      '',
    ],
  ],
  [
    patternOf('{name}{_number}{_side}', 'L/R', 2),
    ['wing_02', 'wing_12_L', 'wing_100'],
    ['wing_2', 'wing_2_L'],
  ],
  [
    patternOf('{side}{name}{number}', 'Left/Right', 2),
    ['LeftWing02', 'RightWing', 'Wing02', 'root', 'Lefty'],
    ['LeftWing2', 'WingLeft', 'Left02', 'Left_Wing'],
  ],
  [
    patternOf('{number.}{name}{ side}', 'l/r'),
    ['2.wing l', 'wing r', '02.wing', 'wing'],
    ['wing.2 l', '2wing l', 'wing.l', '2.wing_l'],
  ],
])('names made by %o', (pattern, follow, others) => {
  expect(follow.filter((name) => !followsWhole(pattern, name))).toEqual([]);
  expect(others.filter((name) => followsWhole(pattern, name))).toEqual([]);
});

test('a name that nobody reads is not read for long', () => {
  const pattern = patternOf('{name}{_number}{_side}', 'L/R');
  const start = performance.now();
  expect(followsWhole(pattern, `${'a_1_'.repeat(63)}!`)).toBe(false);
  expect(followsWhole(pattern, 'a'.repeat(1e6))).toBe(false);
  expect(performance.now() - start).toBeLessThan(1000);
});
