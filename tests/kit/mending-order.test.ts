import { expect, it } from 'vitest';
import { families } from '../../rules/index.js';
import { familyOrder, mendingOrder } from '../../src/kit/mending-order.js';

it('every family of rules has a place of its own in the order of mending', () => {
  const known = [...families].sort(familyOrder);
  for (const [at, family] of known.entries())
    for (const later of known.slice(at + 1)) expect(familyOrder(family, later)).toBeLessThan(0);
  expect(familyOrder('unheard-of', known.at(-1) ?? '')).toBeGreaterThan(0);
});

it('the more serious finding goes first, then the family that others are measured on', () => {
  const findings = [
    { level: 'warning', rule: 'skin.stray' },
    { level: 'error', rule: 'name.side' },
    { level: 'error', rule: 'axis.up' },
    { level: 'error', rule: 'root.single' },
    { level: 'error', rule: 'skin.sum' },
  ] as const;
  expect([...findings].sort(mendingOrder).map(({ rule }) => rule)).toEqual([
    'skin.sum',
    'root.single',
    'axis.up',
    'name.side',
    'skin.stray',
  ]);
});
