import { expect, it } from 'vitest';
import { allFaults } from '../../fixtures/faults/index.js';
import { handbookPairs } from '../../fixtures/handbook-pairs.js';
import { makeHandbook } from '../../fixtures/make-handbook.js';
import { rules } from '../../rules/index.js';
import { FAMILY_TITLES } from '../../src/handbook/family-titles.js';
import { IN_THE_FILE } from '../../src/handbook/steps/following.js';
import { STEPS } from '../../src/handbook/steps/index.js';
import { familyOf } from '../../src/kit/mending-order.js';

const ids = rules.map(({ id }) => id);
/** What a step leads to: an entry, or the formulas. */
const places = [...ids, IN_THE_FILE];

it('every rule has steps, a pair and a family with a title, and nothing else has', () => {
  expect(Object.keys(STEPS).sort()).toEqual([...ids].sort());
  expect(Object.keys(handbookPairs).sort()).toEqual([...ids].sort());
  expect(Object.keys(FAMILY_TITLES).sort()).toEqual([...new Set(ids.map(familyOf))].sort());
});

it('a rule is drawn on a fault of its own', () => {
  const ruleOf = new Map(allFaults.map(({ name, rule }) => [name, rule]));
  const drawn = Object.entries(handbookPairs).map(([rule, { fault }]) => [rule, ruleOf.get(fault)]);
  expect(drawn.filter(([rule, of]) => rule !== of)).toEqual([]);
});

it('frames, chains and bends can be curled', () => {
  const bent = ids.filter((id) => /^(axis|chain|motion)\./.test(id));
  expect(bent.filter((id) => handbookPairs[id]?.curl === undefined)).toEqual([]);
});

it('steps name limits that their rule has, and lead to rules that there are', () => {
  const wrong = rules.flatMap(({ id, limits }) =>
    (STEPS[id] ?? []).flatMap((step) => [
      ...[...step.matchAll(/\{(.*?)\}/g)].filter(([, name = '']) => limits[name] === undefined),
      ...[...step.matchAll(/\[(.*?)\]/g)].filter(([, name = '']) => !places.includes(name)),
    ]),
  );
  expect(wrong).toEqual([]);
});

it('a rule without a drawn pair fails the build, in one line that names it', async () => {
  const { [ids[0] ?? '']: _, ...others } = handbookPairs;
  await expect(makeHandbook(others)).rejects.toThrow(
    `the handbook has no drawn pair for the rule ${ids[0]}; see handbook-pairs.ts`,
  );
});
