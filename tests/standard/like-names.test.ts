import { describe, expect, it } from 'vitest';
import { nameBy, readPattern, SIDE_SPELLINGS } from '../../src/measure/names/name-pattern.js';
import { namesOf } from '../../src/standard/like/house-names.js';

/** Each name of a body with limbs, sides and numbers, made by a pattern. */
function namesBy(text: string, spelling: string, digits: number): string[] {
  const parts = readPattern(text);
  if (typeof parts === 'string') throw new Error(parts);
  const [left = '', right = ''] = spelling.split('/');
  const pattern = { text, parts, sides: { left, right }, digits };
  return ['wing', 'Shin', 'antler'].flatMap((stem) =>
    [null, 1, 2, 10].flatMap((number) =>
      (['left', 'right'] as const).flatMap((side) => {
        const written = number === null ? null : String(number).padStart(digits, '0');
        return nameBy(pattern, { stem, number: written, side }) ?? [];
      }),
    ),
  );
}

const seen = (...sided: string[]) => [{ names: [...sided, 'root', 'spine_3'], sided }];

describe('the pattern that names are made by', () => {
  const layouts = ['{name}{_number}{_side}', '{name}{.side}{_number}', '{side_}{name}{number}'];
  it.each(
    layouts.flatMap((text) =>
      SIDE_SPELLINGS.flatMap((sides) => [1, 2].map((digits) => ({ text, sides, digits }))),
    ),
  )('is found again in names by $text with $sides in $digits digits', ({ text, sides, digits }) => {
    const sided = namesBy(text, sides, digits);
    expect(sided.length).toBeGreaterThan(20);
    const found = namesOf([{ names: sided, sided }]);
    expect(found).toEqual({
      names: { pattern: text, sides, digits },
      sided: sided.length,
      others: [],
    });
  });

  it.each([
    [['arm.L', 'arm.R'], '{name}{_number}{.side}', 'L/R', 1],
    [['LeftArm', 'RightArm'], '{side}{name}{_number}', 'Left/Right', 1],
    [['left-arm', 'right-arm'], '{side-}{name}{_number}', 'left/right', 1],
    [['leg_007_l', 'leg_012_r'], '{name}{_number}{_side}', 'l/r', 3],
  ] as const)('of %j is %s', (sided, pattern, sides, digits) => {
    expect(namesOf(seen(...sided)).names).toEqual({ pattern, sides, digits });
  });

  it('has the separator of the side where no name has a number', () => {
    const sided = ['arm.L', 'arm.R'];
    expect(namesOf([{ names: sided, sided }]).names?.pattern).toBe('{name}{.number}{.side}');
  });

  it('is that of most, and the others are named', () => {
    const { names, others, sided } = namesOf(seen('arm_L', 'arm_R', 'leg_L', 'leg_R', 'RightEar'));
    expect([names?.pattern, others, sided]).toEqual(['{name}{_number}{_side}', ['RightEar'], 5]);
  });

  it('is not one that only looks alike: LeftEar is no L with eftEar', () => {
    const { names, others } = namesOf(seen('LArm', 'RArm', 'LShin', 'RShin', 'LeftEar'));
    expect([names?.pattern, names?.sides, others]).toEqual([
      '{side}{name}{_number}',
      'L/R',
      ['LeftEar'],
    ]);
  });

  it('is none where no joint tells a side, or none that a standard can write', () => {
    expect(namesOf(seen())).toEqual({ names: null, sided: 0, others: [] });
    expect(namesOf(seen('arm_L_bone', 'arm_R_bone')).names).toBeNull();
  });
});

/** Milliseconds that names may take which are made to be slow: some five times what they do. */
const MOST_MILLISECONDS = 10_000;

it('names that are long and many are read in a moment', () => {
  const lengths = Array.from({ length: 5000 }, (_, at) => (at % 2 === 0 ? 120 : 36));
  const sided = lengths.map((length, at) => `${'1_'.repeat(length)}${at}_L`);
  const start = performance.now();
  expect(namesOf([{ names: sided, sided }]).sided).toBe(5000);
  expect(performance.now() - start).toBeLessThan(MOST_MILLISECONDS);
});
