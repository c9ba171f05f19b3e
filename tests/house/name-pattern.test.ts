// Source: POSIX.1-2017, Shell Command Language, 2.13 Pattern Matching Notation: 2.13.1 for single
// characters, 2.13.2 for many, 2.13.3 for slashes; braces and `**` are common practice.
import { describe, expect, it } from 'vitest';
import { literalOf, literalPattern } from '../../src/house/asset-pattern.js';
import { nameExpression, nameTest, PatternFault } from '../../src/house/name-pattern.js';

/** The same alternative over and over. */
const AS = `{${'a,'.repeat(80)}a}`;

describe('a pattern of one name', () => {
  it.each([
    ['2.13.1 ? fits any one character', 'mule?.glb', ['mule1.glb'], ['mule.glb', 'mule12.glb']],
    ['2.13.2 * fits any string, an empty one too', 'mule*', ['mule', 'mule.glb'], ['amule']],
    ['2.13.1 [ opens a class', 'leg_[lr]', ['leg_l', 'leg_r'], ['leg_m', 'leg_']],
    ['2.13.1 [! opens a class that is not', 'leg_[!l]', ['leg_r', 'leg_m'], ['leg_l', 'leg_']],
    ['2.13.1 a range in a class', 'act[1-3]', ['act2'], ['act4']],
    ['2.13.1 a backslash takes the meaning away', 'a\\[1\\]\\*', ['a[1]*'], ['a1*', 'a1x']],
    ['2.13.1 other characters stand for themselves', 'a.b', ['a.b'], ['axb']],
    ['braces hold alternatives', '{heron,mule}.glb', ['heron.glb', 'mule.glb'], ['.glb']],
    ['two stars in a name are one', 'a**c', ['ac', 'abbc'], ['ab']],
    ['a star takes a dot first', '*.glb', ['.glb', '.mule.glb'], ['glb']],
  ])('%s', (_, pattern, fitting, others) => {
    const test = nameTest(pattern);
    expect(fitting.filter((name) => !test(name))).toEqual([]);
    expect(others.filter(test)).toEqual([]);
    // The same as text for another process.
    const expression = new RegExp(nameExpression(pattern));
    expect(fitting.filter((name) => !expression.test(name))).toEqual([]);
    expect(others.filter((name) => expression.test(name))).toEqual([]);
  });

  it.each(['mule (1)*', 'a+b*', '!a*', '@(a)*', 'a|b*', '"a"*', "it's*", '$a^*'])(
    'takes the letters of %s for themselves, and none for a repeat or a group',
    (pattern) => {
      const test = nameTest(pattern);
      expect(test(pattern.replace('*', 'x'))).toBe(true);
      expect(['aa', 'aab', 'a', 'b', 'mule 1', 'its'].filter(test)).toEqual([]);
    },
  );

  it.each([
    ['[lr', 'bracket'],
    ['{a,b', 'bracket'],
    ['[z-a]', 'bracket'],
    ['a\\', 'backslash'],
    ['puppets\\heron*', 'backslash'],
    ['act{1..10}', 'range in braces'],
    ['*a*b*c*', '4 stars and braces in one name (limit 3)'],
    ['{a,b}{a,b}{a,b}{a,b}', '4 stars and braces'],
    [`${'n'.repeat(500)}*`, '501 letters in one name (limit 500)'],
    ['{{{{a,b},c},d},e}', '4 stars and braces'],
  ])('that reads %s is refused: %s', (pattern, why) => {
    expect(() => nameTest(pattern)).toThrow(PatternFault);
    expect(() => nameTest(pattern)).toThrow(why);
  });

  it.each([
    ['stars', '*a*a*ab'],
    ['alternatives', [AS, AS, `{${'a,'.repeat(80)}b}`].join('')],
    ['stars and alternatives', `*{${'a,'.repeat(240)}a}*ab`],
  ])(
    'of as many %s as it may have gives up on the worst name in seconds, not in hours',
    (_, pattern) => {
      const test = nameTest(pattern);
      const start = performance.now();
      expect(test(`${'a'.repeat(254)}c`)).toBe(false);
      expect(performance.now() - start).toBeLessThan(5000);
    },
  );

  it('as an expression takes a slash for a letter', () => {
    expect(new RegExp(nameExpression('rig/*')).test('rig/hips/left')).toBe(true);
    expect(new RegExp(nameExpression('rig*')).test('rig/hips')).toBe(true);
    expect(() => nameExpression('leg_[lr')).toThrow(PatternFault);
  });

  it('fits no name longer than a file can have', () => {
    expect(nameTest('a*')('a'.repeat(255))).toBe(true);
    expect(nameTest('a*')('a'.repeat(256))).toBe(false);
  });
});

describe('a literal pattern', () => {
  it.each([
    'heron.glb',
    'a[1].glb',
    'mule (2).glb',
    '{x}',
    '*',
    '**',
    'back\\slash',
    '?',
    '[',
    '\\',
  ])('of %s stands for that name alone', (name) => {
    expect(literalOf(literalPattern(name))).toBe(name);
    expect(nameTest(literalPattern(name))(name)).toBe(true);
  });

  it('is told from one with wildcards', () => {
    expect(['a*', 'a?', '[ab]', '{a,b}', '\\a'].map(literalOf)).toEqual(Array(5).fill(null));
  });
});
