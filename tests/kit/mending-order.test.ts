import { expect, it } from 'vitest';
import { families, rules } from '../../rules/index.js';
import { mendingOrder, ruleOrder } from '../../src/kit/mending-order.js';

it('every family of rules has a place of its own in the order of mending', () => {
  const known = families.map((family) => `${family}.any`).sort(ruleOrder);
  for (const [at, family] of known.entries())
    for (const later of known.slice(at + 1)) expect(ruleOrder(family, later)).toBeLessThan(0);
  for (const { id } of rules) expect(ruleOrder(id, 'unheard-of.any')).toBeLessThan(0);
});

it('the more serious finding goes first, then what others are measured on, paint after joints', () => {
  const findings = [
    { level: 'warning', rule: 'skin.unweighted' },
    { level: 'error', rule: 'name.side' },
    { level: 'error', rule: 'skin.stray' },
    { level: 'error', rule: 'axis.up' },
    { level: 'error', rule: 'root.single' },
    { level: 'error', rule: 'skin.sum' },
  ] as const;
  expect([...findings].sort(mendingOrder).map(({ rule }) => rule)).toEqual([
    'skin.sum',
    'root.single',
    'axis.up',
    'skin.stray',
    'name.side',
    'skin.unweighted',
  ]);
});
