import { expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { moduleWith, PROPS } from '../support/own-modules.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const heron = buildGlb('heron');

/** Modules that are of no use, by what the one line says of each. */
const WRONG: Readonly<Record<string, readonly [text: string, words: string]>> = {
  'exports nothing': ['const a = 1;', 'exports no rule; export each rule'],
  'exports no rule': ['export const a = 1; export const b = { c: 2 };', 'exports no rule'],
  'is no JavaScript': ['export const = ;', 'cannot be loaded: Unexpected token'],
  'is no ES module': ['module.exports = {};', 'cannot be loaded: module is not defined'],
  throws: ["throw new Error('no glue\\nat all');", 'cannot be loaded: no glue\n'],
  'throws no error': ['throw null;', 'cannot be loaded: null'],
  'imports what is not there': ["import { a } from './a.mjs';", 'cannot be loaded: '],
  'has an id of ours': [
    moduleWith('', 'axis.up'),
    'a rule "axis.up", and trysquare has one of that name',
  ],
  'has a family of ours': [
    moduleWith('', 'axis.wheel'),
    'name a family of your own, such as prop.wheel',
  ],
  'has an id without a family': [
    moduleWith('', 'wheel'),
    '"id" must be a family and a name in small letters',
  ],
  'has a level that is none': [
    moduleWith("level: 'grave'"),
    '"level" must be one of: error, warning, note',
  ],
  'has a milder level that is graver': [
    moduleWith("milder: 'error'"),
    '"milder" must not be more serious',
  ],
  'has no limits': [moduleWith('limits: undefined'), 'it has no "limits"'],
  'has a limit without a unit': [
    moduleWith("limits: { a: { default: 1, tells: 'b' } }"),
    '"limits" > "a" has no "unit"',
  ],
  'has a limit of a strange unit': [
    moduleWith("limits: { a: { default: 1, unit: 'ells', tells: 'b' } }"),
    '"limits" > "a" > "unit" must be one of: %, % of size',
  ],
  'has a limit below 0': [
    moduleWith("limits: { a: { default: -1, unit: 'joints', tells: 'b' } }"),
    'must not be below 0',
  ],
  'has no title': [moduleWith("title: ''"), '"title" is empty'],
  'has a rule of a family of trysquare': [
    PROPS.replaceAll('prop.joints', 'house.props'),
    'the family house is of trysquare; name a family of your own, such as prop.',
  ],
  'throws what is no error': [
    'throw { toString() { throw 1; } };',
    'it throws something that cannot be read as text',
  ],
  'has a remedy that is a number': [moduleWith('remedy: 7'), '"remedy" must be text'],
  'has no check': [
    moduleWith('check: null'),
    'cannot be loaded: the rule prop.wheel has no "check"; it must be a function',
  ],
  'has a rule that is not made with rule': [
    "export const a = { id: 'prop.wheel', check() {}, say() {} };",
    'is not made with rule(...) or assetRule(...)',
  ],
  'has one of a list that is wrong': [
    `${PROPS}export default [joints, { say: 1 }];`,
    'has a rule that is wrong: "check" must be a function',
  ],
};

it.each(Object.entries(WRONG))(
  'a module that %s is refused in one line',
  async (_, [text, words]) => {
    const cwd = tempFolder({ 'heron.glb': heron, 'props.mjs': text });
    const { code, stdout, stderr } = await runCli(['check', 'heron.glb', '--with', './props.mjs'], {
      cwd,
    });
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(/^trysquare: [^\n]+\n$/);
    expect(stderr).toMatch(/^trysquare: \.\/props\.mjs /);
    expect(stderr).toContain(words);
  },
);

/** Names that lead to no module, by what is said of them. */
const NAMES = [
  ['props', 'there is no such file; name a file, and begin its path with ./'],
  ['trysquare', 'begin its path with ./'],
  ['house/lamps.mjs', 'begin its path with ./'],
  ['house', 'this is no file'],
  ['node:fs', 'name a file'],
  ['data:text/javascript,export default 1', 'name a file'],
  ['./gone.mjs', 'there is no such file'],
  ['./house', 'this is no file'],
  ['./heron.glb', 'ends in .mjs or .js'],
  ['./house/props.cjs', 'ends in .mjs or .js'],
] as const;

it.each(NAMES)('--with %s is refused: %s', async (name, words) => {
  const files = {
    'heron.glb': heron,
    'house/props.mjs': PROPS,
    'house/props.cjs': 'exports.a = 1;',
  };
  const { code, stderr } = await runCli(['check', 'heron.glb', '--with', name], {
    cwd: tempFolder(files),
  });
  expect([code, stderr]).toEqual([2, expect.stringMatching(/^trysquare: --with [^\n]+\n$/)]);
  expect(stderr).toContain(words);
});

it('a path needs no ./ where the file is there', async () => {
  const cwd = tempFolder({ 'heron.glb': heron, 'house/props.mjs': PROPS });
  const { stdout } = await runCli(['check', 'heron.glb', '--with', 'house/props.mjs'], { cwd });
  expect(stdout).toContain('prop.joints');
});

it('two modules that have a rule of one name are refused, and one that is named twice is not', async () => {
  const cwd = tempFolder({ 'heron.glb': heron, 'a.mjs': PROPS, 'b.mjs': PROPS });
  const both = await runCli(['check', 'heron.glb', '--with', './a.mjs', '--with', './b.mjs'], {
    cwd,
  });
  expect([both.code, both.stderr]).toEqual([
    2,
    'trysquare: ./b.mjs has a rule "prop.joints", and ./a.mjs has one of that name already; give it another name\n',
  ]);
  const twice = await runCli(['check', 'heron.glb', '--with', './a.mjs', '--with', './a.mjs'], {
    cwd,
  });
  expect([twice.code, twice.stderr]).toEqual([0, '']);
});

it('no file that is read for a check ever loads a module', async () => {
  const asked: string[] = [];
  const loadModule = async (path: string): Promise<never> => {
    asked.push(path);
    throw new Error('asked');
  };
  const standards = ['{ "with": ["./props.mjs"] }', '{ "$schema": "./props.mjs" }', '{}'];
  for (const standard of standards) {
    const cwd = tempFolder({
      'heron.glb': heron,
      'props.mjs': PROPS,
      'trysquare.json': standard,
      'trysquare.waivers.json': '{ "$schema": "./props.mjs", "waivers": [] }',
    });
    await runCli(['check', 'heron.glb'], { cwd, loadModule });
  }
  expect(asked).toEqual([]);
});
