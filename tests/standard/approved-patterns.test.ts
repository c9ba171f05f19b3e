import { resolve } from 'node:path';
import { expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { approvedFor } from '../../src/standard/approved-patterns.js';
import { parseStandard } from '../../src/standard/read-standard.js';

const FOLDER = resolve('/theatre/house');

/** What an asset of the folder has to fit, as the standard has it. */
function approvedOf(approved: Readonly<Record<string, string>>, asset: string): string | null {
  const standard = parseStandard(JSON.stringify({ approved }), 'house.json', rules, FOLDER);
  return approvedFor(standard.approved, resolve(FOLDER, asset))?.written ?? null;
}

it.each([
  [{ 'puppets/heron*.glb': 'a.glb' }, 'puppets/heron-2.glb', 'a.glb'],
  [{ 'puppets/heron*.glb': 'a.glb' }, 'puppets/mule.glb', null],
  [{ 'puppets/heron*.glb': 'a.glb' }, 'old/puppets/heron.glb', null],
  [{ '**/heron.glb': 'a.glb' }, 'old/puppets/heron.glb', 'a.glb'],
  [{ '../puppets/*.glb': '../a.glb' }, '../puppets/heron.glb', '../a.glb'],
])('%j: %s has to fit %s', (approved, asset, expected) => {
  expect(approvedOf(approved, asset)).toBe(expected);
});

it('the most specific pattern applies, wherever it is written', () => {
  const patterns = [
    ['**/*.glb', 'any.glb'],
    ['puppets/heron*.glb', 'heron.glb'],
    ['puppets/*.glb', 'puppet.glb'],
  ] as const;
  for (const order of [patterns, [...patterns].reverse()]) {
    const approved = Object.fromEntries(order);
    expect(approvedOf(approved, 'puppets/heron-2.glb')).toBe('heron.glb');
    expect(approvedOf(approved, 'puppets/mule.glb')).toBe('puppet.glb');
    expect(approvedOf(approved, 'props/lamp.glb')).toBe('any.glb');
  }
});

it('an approved asset need not fit itself', () => {
  expect(approvedOf({ '**/*.glb': 'approved/heron.glb' }, 'approved/heron.glb')).toBeNull();
});

it('a pattern that is none is refused with its line', () => {
  const text = '{\n  "approved": {\n    "puppets//heron.glb": "a.glb"\n  }\n}';
  expect(() => parseStandard(text, 'house.json', rules)).toThrow(
    /house\.json.*line 3.*empty name/s,
  );
});
