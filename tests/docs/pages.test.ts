import { describe, expect, it } from 'vitest';
import { families, rules } from '../../rules/index.js';
import { standardSettings } from '../../src/index.js';
import { commandName, commands } from '../support/docs/command-page.js';
import { type MadePage, makePage } from '../support/docs/make-page.js';
import { pagePaths, readPage } from '../support/docs/read-page.js';
import { tables } from '../support/docs/tables.js';
import { tempFolder } from '../support/temp-folder.js';

/** Longest README that is read in three minutes with its report and pictures, in bytes. */
const LONGEST_README = 15_000;
/** A command that was wrong, or could not do what it was asked. */
const WRONG = 2;

const made = new Map<string, Promise<MadePage>>();

/** A page as it is made now: once, in the first test that asks, whose time then says how long it takes. */
function madePage(path: string): Promise<MadePage> {
  const page = made.get(path) ?? makePage(path);
  made.set(path, page);
  return page;
}

describe.each(pagePaths)('%s', (path) => {
  const text = readPage(path);

  it('says what the code makes and the commands print now (npm run docs writes it)', async () => {
    expect(text).toBe((await madePage(path)).text);
  });

  it('shows only commands that work', async () => {
    const { runs } = await madePage(path);
    expect(runs.filter((run) => run.code === WRONG)).toEqual([]);
    expect(runs).toHaveLength(text.match(/^(?:\$ )?trysquare /gm)?.length ?? 0);
  });

  it('names only commands, options and rules that there are', () => {
    expect(unknownIn(text)).toEqual([]);
  });

  it('has one purpose: one title, and a sentence that says what the page is for', () => {
    const lines = text.replace(/^```[\s\S]*?^```$/gm, '').split('\n');
    expect(lines.filter((line) => line.startsWith('# '))).toEqual([lines[0]]);
    expect(lines[2]).toMatch(/^\p{L}.*[.:]$/u);
  });
});

it('settings that stand in prose are ones that a standard can have', () => {
  const settings = pagePaths.flatMap((path) => inlineCode(readPage(path)).filter(isSetting));
  expect(settings.length).toBeGreaterThan(1);
  for (const setting of settings) {
    const folder = tempFolder({ 'trysquare.json': `{ ${setting} }` });
    expect(() => standardSettings(`${folder}/trysquare.json`)).not.toThrow();
  }
});

it('every table that the code makes is on one page, and on no other', () => {
  const asked = pagePaths.flatMap((path) =>
    [...readPage(path).matchAll(/<!-- made: (\w+) -->/g)].map((match) => match[1]),
  );
  expect(asked.sort()).toEqual(Object.keys(tables).sort());
});

it('the pages say nothing twice: no sentence of prose is on two of them', () => {
  const sentences = pagePaths.flatMap((path) => [...new Set(proseOf(path))]);
  const twice = sentences.filter((sentence, at) => sentences.indexOf(sentence) !== at);
  expect(sentences.length).toBeGreaterThan(100);
  expect([...new Set(twice)]).toEqual(['All options are in [Commands and options](commands.md).']);
});

it(`the README has at most ${LONGEST_README} bytes`, () => {
  expect(Buffer.byteLength(readPage('README.md'))).toBeLessThanOrEqual(LONGEST_README);
});

it('the README tells the two commands that build, try and test it', () => {
  const [, block = ''] = /```sh\n([\s\S]*?)```/.exec(readPage('README.md')) ?? [];
  expect(block.match(/^npm.*?(?= {2,}#)/gm)).toEqual([
    'npm install && npm run demo',
    'npm install && npm test',
  ]);
});

/** Sentences of a page outside of code, tables and made parts, with links to one place alike. */
function proseOf(path: string): string[] {
  return readPage(path)
    .replace(/<!-- made: [\s\S]*?<!-- end -->|^```[\s\S]*?^```$|^\|.*$|^#.*$/gm, '')
    .replace(/\.md#[\w-]+/g, '.md')
    .split(/(?<=[.:])\s+|\n+/)
    .map((sentence) => sentence.trim())
    .filter((sentence) => sentence.length > 30);
}

/** What stands in code outside of blocks. */
function inlineCode(text: string): string[] {
  const prose = text.replace(/^```[\s\S]*?^```$/gm, '');
  return [...prose.matchAll(/`([^`\n]+)`/g)].map((match) => match[1] ?? '');
}

function isSetting(code: string): boolean {
  return /^"[a-z]+": /.test(code);
}

/** What stands in code outside of blocks and would have to be there, and is not. */
function unknownIn(text: string): string[] {
  const all = commands();
  const flags = new Set(
    all.flatMap((command) =>
      command
        .createHelp()
        .visibleOptions(command)
        .map(({ long }) => long),
    ),
  );
  const ids = rules.map((rule) => rule.id);
  return inlineCode(text).flatMap((code) => {
    const rule = /^([a-z]+)\.[a-z-]+$/.exec(code);
    if (rule !== null && families.includes(rule[1] ?? '')) return ids.includes(code) ? [] : [code];
    const wrong = (code.match(/(?<![\w-])--[a-z][a-z-]*/g) ?? []).filter(
      (flag) => !flags.has(flag),
    );
    const named = /^trysquare ([a-z]+)/.exec(code)?.[1];
    if (named === undefined) return wrong;
    const command = all.find((one) => commandName(one).split(' ')[0] === named);
    if (command === undefined) return [...wrong, named];
    const own = new Set(command.options.flatMap(({ long }) => [long]));
    return [...wrong, ...(code.match(/ --[a-z][a-z-]*/g) ?? []).filter((f) => !own.has(f.trim()))];
  });
}
