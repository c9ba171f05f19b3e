// Source: CommonMark with the tables, strikethrough and addresses of GFM, as npm `markdown-it` reads
// them, with HTML let through and bare addresses made into links: whatever a name could do to a
// report, it would show as a part of its own there.
import { describe, expect, test } from 'vitest';
import { build } from '../../fixtures/build.js';
import { faults } from '../../fixtures/faults/index.js';
import { writeMarkdown } from '../../src/report/markdown.js';
import { visible } from '../../src/report/visible.js';
import { cellsOf, headingsOf, itemsOf, looseWords, markupOf } from '../report/markdown-reader.js';
import {
  glbAsset,
  HOSTILE_NAMES,
  SAMPLE_LEDGER,
  sampleFinding,
  sampleReport,
  sampleRig,
  unreadableAsset,
} from '../report/sample-report.js';
import { checkBuilt } from '../support/check-built.js';

const NAMES = [
  ...Object.values(HOSTILE_NAMES).filter((name) => name.length < 100),
  '<img src=x onerror=alert(1)>',
  '![lamp](https://example.com/lamp.png)',
  '[lamp]: https://example.com',
  'https://example.com/a_b',
  'www.example.com',
  'a@example.com',
  '@mule and #12 and GH-12',
  '|',
  '\\|',
  '\\\\|',
  'a|b\\|c`d|e``',
  '`',
  '``` ',
  '`<b>`',
  '</details>',
  '<!--',
  '1. one',
  '- [ ] one',
  '# one',
  '> one',
  '***',
  '~~a~~',
  '&lt;b&gt;',
  'trailing \\',
];

/** Words outside code with which a service would call a person or link to another thing. */
const CALLS = /@\w|#\d|GH-\d|:\/\/|www\.\w|\b[0-9a-f]{7,40}\b/i;

describe.each(NAMES.map((name) => [visible(name), name]))(
  'a report with the name %s',
  (shown, name) => {
    const asset = glbAsset(name, [
      sampleFinding({
        message: `"${name}" is rolled 92.4° (limit 30°).`,
        place: { name, path: name },
        waived: { by: name, why: name, until: null },
      }),
      sampleFinding({ message: name, remedy: name, place: { name, path: name } }),
    ]);
    const assets = [
      { ...asset, rigs: [0, 1].map((index) => ({ ...sampleRig(), index, name })) },
      unreadableAsset(name, name, name),
    ];
    const markdown = writeMarkdown({ ...sampleReport(assets), standard: name });

    test('has no markup but its own', () => {
      expect(markupOf(markdown)).toEqual([
        'html_block <details>\n<summary>1 waived</summary>\n',
        'html_block </details>\n',
      ]);
      expect(looseWords(markdown).filter((words) => CALLS.test(words))).toEqual([]);
    });

    test('has no markup from a ledger either', () => {
      const waiver = {
        rule: name,
        asset: name,
        joint: name,
        others: 0,
        why: name,
        by: name,
        line: 3,
      };
      const ledger = {
        ...SAMPLE_LEDGER,
        path: name,
        expired: [{ ...waiver, until: name, findings: null }],
        unmatched: [{ ...waiver, until: null }],
      };
      const told = writeMarkdown({ ...sampleReport([]), ledger });
      // The fold is ours.
      expect(markupOf(told).map((markup) => markup.trim())).toEqual([
        'html_block <details>\n<summary>2 in all</summary>',
        'html_block </details>',
      ]);
      expect(looseWords(told).filter((words) => CALLS.test(words))).toEqual([]);
      expect(itemsOf(told)).toHaveLength(2);
      for (const item of itemsOf(told))
        expect(item).toContain(`line 3 of ${shown === '' ? '(no name)' : shown}.`);
    });

    test('has the right cells, headings and items', () => {
      const named = shown === '' ? '(no name)' : shown;
      expect(cellsOf(markdown)).toEqual([
        ['Asset', 'Verdict', 'Errors', 'Warnings', 'Notes'],
        [named, 'unsound', '2', '0', '0'],
        [named, 'unreadable', '', '', ''],
      ]);
      expect(headingsOf(markdown)).toEqual([`${named}: unsound`, `${named}: unreadable`]);
      const items = itemsOf(markdown);
      expect(items).toHaveLength(2);
      const at = shown === '' ? '' : ` at joint ${shown}`;
      for (const item of items) expect(item).toContain(`error axis.up${at} of rig ${named}:`);
    });
  },
);

test('findings of real faults are told without markup', async () => {
  const some = faults.filter((_, at) => at % 12 === 5);
  const assets = await Promise.all(
    some.map((fault) => checkBuilt(build(fault.puppet, { faults: [fault] }))),
  );
  const markdown = writeMarkdown(sampleReport(assets));
  const told = assets.reduce((sum, { findings }) => sum + findings.length, 0);
  expect(told).toBeGreaterThan(0);
  expect(itemsOf(markdown)).toHaveLength(told);
  expect(markupOf(markdown).filter((part) => !/^html_block <\/?details>/.test(part))).toEqual([]);
  expect(looseWords(markdown).filter((words) => CALLS.test(words))).toEqual([]);
});

test('the reader sees what a careless report would let through', () => {
  for (const name of ['<img>', '![a](b)', '[a](b)', 'https://example.com', 'a@example.com', '*a*'])
    expect(markupOf(`- at ${name}`)).not.toEqual([]);
  expect(cellsOf('| a | b |\n| - | - |\n| `x|y` | z |')[1]).not.toEqual(['x|y', 'z']);
  expect(looseWords('ask @mule').some((words) => CALLS.test(words))).toBe(true);
});
