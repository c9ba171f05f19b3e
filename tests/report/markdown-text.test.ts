import { describe, expect, test } from 'vitest';
import { cellName, codeName, sentenceText } from '../../src/report/markdown-text.js';

describe('a name as code', () => {
  test.each([
    ['beak', '`beak`'],
    ['', '(no name)'],
    ['a`b', '``a`b``'],
    ['`', '`` ` ``'],
    ['a``b`', '``` a``b` ```'],
    ['a```b', '`a```b`'],
    [' a ', '`  a  `'],
    [' a', '` a`'],
    ['  ', '`  `'],
    ['two\nlines', '`two\\u000alines`'],
    ['@team <b>', '`@team <b>`'],
    ['a|b', '`a|b`'],
  ])('%j is %j', (name, code) => {
    expect(codeName(name)).toBe(code);
  });

  test('is cut when it is a long one', () => {
    expect(codeName('n'.repeat(10_000)).length).toBeLessThan(220);
  });

  test('keeps bars out of a cell', () => {
    expect(cellName('beak')).toBe('`beak`');
    expect(cellName('a|`b|')).toBe('`a`&#124;`` `b ``&#124;');
    expect(cellName('a\\|b')).toBe('`a\\`&#124;`b`');
  });
});

describe('a sentence', () => {
  test.each([
    'The beak is rolled 92.4° about its aim axis (limit 30°).',
    'Turn it by -3.5 % of size, the nearer one first; weigh (half) anew.',
    'Joint 鷺 is off.',
  ])('of plain words stays as it is: %s', (sentence) => {
    expect(sentenceText(sentence)).toBe(sentence);
  });

  test.each([
    ['"left_arm" is off', '`left_arm` is off'],
    ['"left arm_1 <b>" is off', '`left arm_1 <b>` is off'],
    ['move "F2a"; then "Palm".', 'move `F2a`; then `Palm`.'],
    ['("thigh_L"\'s, "Flügel"’s)', "(`thigh_L`'s, `Flügel`’s)"],
    ['"" is off', '(no name) is off'],
    ['"a`b", "`"', '``a`b``, `` ` ``'],
    ['"two "inner" words" is', '`two "inner` words" is'],
    ['the "beak is', 'the "beak is'],
    ['props until 2027-06-30: a crank', 'props until `2027-06-30`: a crank'],
    ['(see wing.glb, a_b c_d).', '(see `wing.glb`, `a_b c_d`).'],
    ['"],[a](b)", <b>, @team!', '`],[a](b)`, `<b>`, `@team`!'],
    ['see https://example.com now', 'see `https://example.com` now'],
    ['see www.example.com now', 'see `www.example.com` now'],
    ['see example.com now', 'see `example.com` now'],
    ['ask @team about #12', 'ask `@team` about `#12`'],
    ['ask GH-12 or a@b.example', 'ask `GH-12` or `a@b.example`'],
    ['commit 1234567 or 6dcb09b5', 'commit `1234567` or `6dcb09b5`'],
    ['a :smile: and $x$', 'a `:smile:` and `$x$`'],
    ['a *b* _c_ ~d~ `e`', 'a `` *b* _c_ ~d~ `e` ``'],
    ['&lt; and \\', '`&lt;` and `\\`'],
    ['two\nlines', '`two\\u000alines`'],
    ['knaeb\u202ehcra', '`knaeb\\u202ehcra`'],
    ['  spaces   go ', 'spaces go'],
  ])('%j becomes %j', (sentence, text) => {
    expect(sentenceText(sentence)).toBe(text);
  });
});
