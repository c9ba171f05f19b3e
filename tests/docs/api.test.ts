import { expect, it } from 'vitest';
import * as library from '../../src/index.js';
import { readPage } from '../support/docs/read-page.js';

// That the page says what the compiler declares now is tested with all pages.
const sections = readPage('docs/api.md')
  .split(/^### /m)
  .slice(1)
  .map((text) => {
    const [, name = '', tells = '', code = ''] =
      /^(\w+)\n\n([\s\S]*?)```ts\n([\s\S]*?)\n```/.exec(text) ?? [];
    return { name, tells: tells.trim(), code };
  });
const values = sections.filter(({ code }) => !/^(?:interface|type) /.test(code));

it('has every value that the library exports, by its name, and no other', () => {
  const names = values.map(({ name }) => name);
  expect(names.sort()).toEqual(Object.keys(library).sort());
});

it('says of every function and constant what it gives, and of every type of a rule what it is', () => {
  const silent = sections
    .filter(({ code, tells }) => tells === '' && /^(?:function|const|class) /.test(code))
    .map(({ name }) => name);
  expect(silent).toEqual([]);
  const types = ['RuleSpec', 'AssetRuleSpec', 'RuleText', 'Finding', 'Facts', 'Rig', 'JointTable'];
  for (const type of types)
    expect(sections.find(({ name }) => name === type)?.tells ?? '').not.toBe('');
});

it('shows each of them as TypeScript would declare it, whole', () => {
  expect(sections.find(({ name }) => name === 'judgedAsOne')?.code).toBe(
    'function judgedAsOne<A>(things: Things, looked: number, finding: Finding<A>): Judged<A>;',
  );
  const open = sections.filter(({ code }) => count(code, '{') !== count(code, '}'));
  expect(open.map(({ name }) => name)).toEqual([]);
  expect(sections.filter(({ code }) => !/[;}]$/.test(code))).toEqual([]);
});

it('names each once', () => {
  const names = sections.map(({ name }) => name);
  expect(names.length).toBeGreaterThan(100);
  expect(new Set(names).size).toBe(names.length);
});

function count(text: string, letter: string): number {
  return text.split(letter).length - 1;
}
