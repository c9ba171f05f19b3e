// Source of the reader: CommonMark with GFM's tables, as npm `markdown-it` reads it. Source of the
// anchors: GitHub's documentation, "Section links": letters in lower case, spaces as hyphens, all
// other white space and punctuation removed (from memory).
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import MarkdownIt, { type Token } from 'markdown-it';
import { describe, expect, it } from 'vitest';
import { pagePaths, readPage } from '../support/docs/read-page.js';
import { repository } from '../support/source-copy.js';

const reader = new MarkdownIt();
const documents = [...pagePaths, 'DEVELOPERS.md'];

function flat(text: string): Token[] {
  return reader.parse(text, {}).flatMap((token) => [token, ...(token.children ?? [])]);
}

/** Where the links and pictures of a text lead. */
function targets(text: string): string[] {
  return flat(text).flatMap((token) => {
    const target = token.attrGet(token.type === 'image' ? 'src' : 'href');
    return target === null ? [] : [String(target)];
  });
}

/** The anchors of a text's headings. */
function anchors(text: string): string[] {
  const tokens = flat(text);
  return tokens.flatMap((token, at) => {
    if (token.type !== 'heading_open') return [];
    const heading = tokens[at + 1]?.content ?? '';
    return [
      heading
        .toLowerCase()
        .replace(/[^\p{L}\p{N} _-]/gu, '')
        .replaceAll(' ', '-'),
    ];
  });
}

/** The links of a document that lead nowhere. Addresses of the web are not asked for; there are none. */
function astray(path: string): string[] {
  return targets(readPage(path)).filter((target) => {
    const [file = '', anchor] = target.split('#');
    const place = file === '' ? path : normalize(join(dirname(path), file));
    if (place.startsWith('..') || !existsSync(join(repository, place))) return true;
    return anchor !== undefined && !anchors(readPage(place)).includes(anchor);
  });
}

it.each(documents)('every link and picture of %s leads somewhere', (path) => {
  expect(astray(path)).toEqual([]);
});

it('a link to no file or no heading would be noticed', () => {
  expect(targets('[a](docs/none.md) ![b](c.svg)')).toEqual(['docs/none.md', 'c.svg']);
  expect(anchors('# Why, `check`?\n\n## A - b')).toEqual(['why-check', 'a---b']);
});

describe('the README', () => {
  const led = targets(readPage('README.md'));

  it('leads to every page', () => {
    for (const path of pagePaths.slice(1)) expect(led).toContain(path);
  });

  it('lists the pages by their titles', () => {
    const rows = [...readPage('README.md').matchAll(/^\| \[(.*?)\]\((.*?)\) \|/gm)];
    expect(rows.map(([, , path]) => path).sort()).toEqual(pagePaths.slice(1));
    for (const [, title, path = ''] of rows) expect(readPage(path)).toMatch(`# ${title}\n`);
  });

  it('shows one picture of a sheet and one of a page', () => {
    expect(led.filter((target) => /\.(?:svg|png)$/.test(target))).toEqual([
      'docs/pictures/sheet.svg',
      'docs/pictures/page.png',
    ]);
  });

  it('goes with its pages into the package', () => {
    // npm reads this file and packs what it lists.
    const { files } = JSON.parse(readFileSync(join(repository, 'package.json'), 'utf8')) as {
      files: string[];
    };
    expect(files).toEqual(expect.arrayContaining(['README.md', 'docs']));
  });
});
