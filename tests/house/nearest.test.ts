import { expect, it } from 'vitest';
import { didYouMean, isNear } from '../../src/house/nearest.js';

it.each([
  ['erorr', 'error'],
  ['err', 'error'],
  ['Warning', 'warning'],
  ['axis.pu', 'axis.up'],
  ['replcae', 'replace'],
])('%s can be a slip of %s', (written, spelling) => {
  expect(isNear(written, spelling)).toBe(true);
});

it.each([
  ['reason', 'version'],
  ['er', 'error'],
  ['motion', 'note'],
  ['', 'aim'],
])('"%s" is no slip of %s', (written, spelling) => {
  expect(isNear(written, spelling)).toBe(false);
});

it('offers the one that is nearest as it is spelt, and nothing where none is near', () => {
  expect(didYouMean('MOTON', ['note', 'Motion', 'axis'])).toBe(' Did you mean "Motion"?');
  expect(didYouMean('reason', ['version', 'motion'])).toBe('');
  expect(didYouMean('reason', [])).toBe('');
});
