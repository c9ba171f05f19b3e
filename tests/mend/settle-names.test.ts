import { expect, test } from 'vitest';
import { settleNames } from '../../src/mend/names/settle-names.js';

const NOBODY = new Map<number, string>();
const NOTHING = new Set<string>();

test('names are given all at once, so that two nodes can exchange theirs', () => {
  const asked = [
    { node: 0, name: 'wing_R' },
    { node: 1, name: 'wing_L' },
  ];
  expect(settleNames(['wing_L', 'wing_R', null], asked, NOBODY, NOTHING).size).toBe(0);
});

test('a name that another node keeps is not given, nor one that was to be free by that', () => {
  const asked = [
    { node: 0, name: 'lantern' },
    { node: 1, name: 'wing' },
  ];
  expect([...settleNames(['wing', 'beak', 'lantern'], asked, NOBODY, NOTHING)]).toEqual([
    [0, 'another node is named "lantern"'],
    [1, 'another node is named "wing"'],
  ]);
});

test('what extensions or extras call by its name keeps it, and so does its partner', () => {
  const asked = [
    { node: 0, name: 'wing_R' },
    { node: 1, name: 'wing_L' },
  ];
  expect([...settleNames(['wing_L', 'wing_R'], asked, NOBODY, new Set(['wing_L']))]).toEqual([
    [0, 'an extension or extras refer to it by its name'],
    [1, 'another node is named "wing_L"'],
  ]);
});

test('joints may share a name that the approved rig gives to both', () => {
  const asked = [{ node: 0, name: 'tip' }];
  const names = ['end', 'tip'];
  expect(settleNames(names, asked, new Map([[1, 'tip']]), NOTHING).size).toBe(0);
  expect(settleNames(names, asked, NOBODY, NOTHING).size).toBe(1);
});

test('a run of ten thousand names that all wait for the last is settled at once', () => {
  const names = Array.from({ length: 10_001 }, (_, node) => `ring_${node}`);
  const asked = names.slice(1).map((name, node) => ({ node, name }));
  expect(settleNames(names, asked, NOBODY, NOTHING).size).toBe(10_000);
});
