import { expect, test } from 'vitest';
import { Identities, type IdentityParts } from '../../src/report/identity.js';

const BEAK: IdentityParts = {
  rule: 'axis.up',
  rig: 'body',
  aspect: null,
  anchor: { kind: 'joint', path: 'body/neck/beak' },
};

const OTHERS: readonly (readonly [string, IdentityParts])[] = [
  ['rule', { ...BEAK, rule: 'axis.aim' }],
  ['rig', { ...BEAK, rig: 'holder/body' }],
  ['aspect', { ...BEAK, aspect: 'at random' }],
  ['kind of anchor', { ...BEAK, anchor: { kind: 'node', path: 'body/neck/beak' } }],
  ['anchor', { ...BEAK, anchor: { kind: 'joint', path: 'body/neck' } }],
];

test('the same finding has the same identity in every run', () => {
  const [one, other] = [new Identities(), new Identities()];
  other.next({ ...BEAK, rule: 'axis.aim' });
  expect(one.next(BEAK)).toMatch(/^[0-9a-f]{32}$/);
  expect(other.next(BEAK)).toBe(new Identities().next(BEAK));
});

test.each(OTHERS)('another %s has another', (_, parts) => {
  const identities = new Identities();
  expect(identities.next(parts)).not.toBe(identities.next(BEAK));
});

test('findings alike in all of it are numbered', () => {
  const identities = new Identities();
  const first = identities.next(BEAK);
  expect([identities.next(BEAK), identities.next(BEAK)]).toEqual([`${first}:2`, `${first}:3`]);
});
