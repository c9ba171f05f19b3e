import { readdirSync } from 'node:fs';
import { expect, it } from 'vitest';
import { families, rules } from '../../rules/index.js';
import { readPage } from '../support/docs/read-page.js';

const folder = new URL('../../rules/', import.meta.url);

/** Ids by file: `rules/axis/aim.ts` is `axis.aim`. Files beside the rules that hold none are named. */
const helpers = [
  'axis/aimed-only.ts',
  'axis/rolled.ts',
  'fit/clip-words.ts',
  'fit/frame-words.ts',
  'fit/length-words.ts',
  'fit/missing-findings.ts',
  'fit/missing-words.ts',
  'fit/play-words.ts',
  'fit/with-approved.ts',
  'house/texts.ts',
  'house/ways.ts',
  'rest/bind-words.ts',
];

function idsInFolder(): string[] {
  return readdirSync(folder, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .flatMap(({ name }) =>
      readdirSync(new URL(`${name}/`, folder)).map((file) => `${name}/${file}`),
    )
    .filter((file) => !helpers.includes(file))
    .map((file) => file.replace('/', '.').replace(/\.ts$/, ''));
}

it('the registry and the folder hold the same rules', () => {
  expect(rules.map((rule) => rule.id).sort()).toEqual(idsInFolder().sort());
});

it('the page of rules tells of the same rules', () => {
  const text = readPage('docs/rules.md');
  const [, list = ''] = /<!-- made: rules -->([\s\S]*?)<!-- end -->/.exec(text) ?? [];
  const told = [...list.matchAll(/^\| `([a-z]+\.[a-z-]+)` \|/gm)].map((match) => match[1]);
  expect(told).toEqual(rules.map((rule) => rule.id));
});

it('a rule belongs to the family its id begins with, and steps back only for rules there are', () => {
  const ids = rules.map((rule) => rule.id);
  for (const rule of rules) {
    expect(rule.id.split('.')[0]).toBe(rule.family);
    expect(families).toContain(rule.family);
    for (const { to } of rule.yieldsTo) for (const id of to) expect(ids).toContain(id);
  }
});

it('every limit has a reason to be read: a unit, a finite default, and what is held to it', () => {
  for (const rule of rules) {
    for (const limit of Object.values(rule.limits)) {
      expect(Number.isFinite(limit.default)).toBe(true);
      expect(limit.tells.length).toBeGreaterThan(5);
    }
  }
});
