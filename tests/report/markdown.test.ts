import { describe, expect, test } from 'vitest';
import { writeMarkdown } from '../../src/report/markdown.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { cellsOf, headingsOf, itemsOf, markupOf } from './markdown-reader.js';
import {
  glbAsset,
  SAMPLE_LEDGER as LEDGER,
  sampleFinding,
  sampleReport,
  sampleRig,
  unreadableAsset,
} from './sample-report.js';

const WAIVED = { by: 'props', why: 'a crank sits here', until: '2027-01-31' };

function written(assets: readonly AssetReport[], change: Partial<Report> = {}): string {
  return writeMarkdown({ ...sampleReport(assets), ...change });
}

/** Levels and rules of the findings, in the order in which they stand. */
function told(markdown: string): string[] {
  return itemsOf(markdown).map((item) => item.split(/[: ]/, 2).join(' '));
}

function summaries(markdown: string): string[] {
  return [...markdown.matchAll(/<summary>(.*)<\/summary>/g)].map(([, text = '']) => text);
}

test('a report of a faulty, a sound and an unreadable asset reads like this', () => {
  const findings = [
    sampleFinding({ rule: 'place.pair', level: 'note' }),
    sampleFinding({ consequences: ['Curls leave their plane.'] }),
  ];
  const assets = [
    unreadableAsset('beetle.glb', 'the file is empty', 'byte 0'),
    glbAsset('heron.glb', findings),
    glbAsset('mule.glb'),
  ];
  expect(written(assets)).toMatchInlineSnapshot(`
    "**trysquare: unreadable.** 3 assets: 1 sound, 1 unsound, 1 unreadable. 1 error, 0 warnings, 1 note.

    | Asset | Verdict | Errors | Warnings | Notes |
    | --- | --- | ---: | ---: | ---: |
    | \`beetle.glb\` | unreadable |  |  |  |
    | \`heron.glb\` | unsound | 1 | 0 | 1 |
    | \`mule.glb\` | sound | 0 | 0 | 0 |

    ### \`beetle.glb\`: unreadable

    Cannot be read: the file is empty (at byte 0).

    ### \`heron.glb\`: unsound

    - **error** \`axis.up\` at joint \`body/neck/beak\`: \`beak\` is rolled 92.4° about its aim axis against its segment (limit 30°). Turn its frame so that its up axis follows that of \`neck\`. Curls leave their plane.

    <details>
    <summary>1 note</summary>

    - **note** \`place.pair\` at joint \`body/neck/beak\`: \`beak\` is rolled 92.4° about its aim axis against its segment (limit 30°). Turn its frame so that its up axis follows that of \`neck\`.

    </details>
    "
  `);
});

describe('the first line', () => {
  test('says what was held against the assets, where it is not the default', () => {
    const line = (change: Partial<Report>) => written([], change).split('\n')[0];
    expect(line({})).toBe(
      '**trysquare: nothing checked.** 0 assets: 0 sound, 0 unsound, 0 unreadable. 0 errors, 0 warnings, 0 notes.',
    );
    expect(line({ failing: 'never' })).toContain('No finding makes a rig unsound.');
    expect(line({ failing: 'note', standard: 'house.json' })).toMatch(
      /Findings at level note or above make a rig unsound\. Checked against the standard `house\.json`\.$/,
    );
  });
});

test('the first line says how far a run came that was stopped', () => {
  expect(written([], { partial: { checked: 9, of: 400 } })).toMatch(
    /^\*\*trysquare: nothing checked\.\*\* \*\*The run was stopped: 9 of 400 assets checked\.\*\* 0 assets:/,
  );
  expect(written([])).not.toContain('The run was stopped');
});

test('the first line says how many findings are waived, where any are', () => {
  const line = (waived: number) => written([], { ledger: { ...LEDGER, waived } }).split('\n')[0];
  expect(line(2)).toMatch(/0 notes\. 2 findings waived\.$/);
  expect(line(1)).toMatch(/0 notes\. 1 finding waived\.$/);
  expect(line(0)).toMatch(/0 notes\.$/);
});

describe('waivers that need a look', () => {
  const { unmatched, expired } = LEDGER;

  test('stand below the table, with what to do', () => {
    const markdown = written([glbAsset('heron.glb', [sampleFinding()])], { ledger: LEDGER });
    expect(headingsOf(markdown)).toEqual(['Waivers that need attention', 'heron.glb: unsound']);
    expect(itemsOf(markdown).slice(0, 3)).toEqual([
      'Its last day is past (2026-06-30), so it waives nothing: axis.up at body/neck of wagon/*.glb, line 4 of house/trysquare.waivers.json.',
      'Matches no finding any more: place.pair at any joint of mule.glb, line 11 of house/trysquare.waivers.json.',
      'Matches no finding any more: skin.sum anywhere in <b>.glb, line 18 of house/trysquare.waivers.json.',
    ]);
    expect(markdown).toContain(
      '1 waiver with a last day that is past, 2 waivers that match no finding any more.',
    );
  });

  test('have no heading when there are none', () => {
    const ledger = { ...LEDGER, expired: [], unmatched: [] };
    expect(written([], { ledger })).not.toContain('###');
  });

  test('are folded below one line that counts them', () => {
    const many = Array.from({ length: 12 }, () => unmatched).flat();
    const markdown = written([], { ledger: { ...LEDGER, unmatched: many } });
    expect(summaries(markdown)).toEqual(['25 in all']);
    expect(itemsOf(markdown)).toHaveLength(25);
  });

  test.each([1600, 3000, 65_536])(
    'leave room for findings, and are counted, in %d letters',
    (most) => {
      const ledger = { ...LEDGER, expired: Array.from({ length: 1000 }, () => expired).flat() };
      const asset = glbAsset('heron.glb', [sampleFinding()]);
      const markdown = writeMarkdown({ ...sampleReport([asset]), ledger }, { mostLetters: most });
      expect(markdown.length).toBeLessThanOrEqual(most);
      const items = itemsOf(markdown);
      expect(items.at(-1)).toMatch(/^error axis\.up/);
      expect(markdown).toContain(
        `comment: ${1002 - (items.length - 1)} waivers that need attention. The`,
      );
    },
  );
});

describe('the table', () => {
  test('has a row an asset, without counts for one that cannot be read', () => {
    const assets = [
      glbAsset('heron.glb', [sampleFinding(), sampleFinding({ level: 'note' })]),
      unreadableAsset('-', 'the file is empty', null),
    ];
    expect(cellsOf(written(assets))).toEqual([
      ['Asset', 'Verdict', 'Errors', 'Warnings', 'Notes'],
      ['heron.glb', 'unsound', '1', '0', '1'],
      ['standard input', 'unreadable', '', '', ''],
    ]);
  });

  test('folds sound assets when there are more than ten', () => {
    const sound = Array.from({ length: 11 }, (_, at) => glbAsset(`submission-${at}.glb`));
    const markdown = written([...sound, glbAsset('heron.glb', [sampleFinding()])]);
    expect(summaries(markdown)).toEqual(['11 sound assets']);
    expect(cellsOf(markdown).map(([name]) => name)).toEqual([
      'Asset',
      'heron.glb',
      'Asset',
      ...sound.map(({ path }) => path),
    ]);
    expect(summaries(written(sound.slice(1)))).toEqual([]);
  });
});

describe('the findings of an asset', () => {
  const mixed = [
    sampleFinding({ rule: 'a', level: 'note' }),
    sampleFinding({ rule: 'b', level: 'warning' }),
    sampleFinding({ rule: 'c' }),
    sampleFinding({ rule: 'd', waived: WAIVED }),
    sampleFinding({ rule: 'e', level: 'warning' }),
  ];

  test('stand errors first, then warnings; notes and waived ones are folded', () => {
    const markdown = written([glbAsset('heron.glb', mixed)]);
    expect(told(markdown)).toEqual(['error c', 'warning b', 'warning e', 'note a', 'error d']);
    expect(summaries(markdown)).toEqual(['1 note', '1 waived']);
    expect(itemsOf(markdown).at(-1)).toMatch(
      / Waived by props until 2027-01-31: a crank sits here$/,
    );
  });

  test('are folded below one line that counts them', () => {
    const findings = Array.from({ length: 13 }, (_, at) => sampleFinding({ rule: `rule-${at}` }));
    const markdown = written([glbAsset('heron.glb', findings)]);
    expect(summaries(markdown)).toEqual(['3 errors more']);
    expect(itemsOf(markdown)).toHaveLength(13);
  });

  test('stand open when they are notes, and notes fail', () => {
    const note = sampleFinding({ level: 'note' });
    const asset: AssetReport = { ...glbAsset('heron.glb', [note]), verdict: 'unsound' };
    const markdown = written([asset], { failing: 'note', verdict: 'unsound' });
    expect(summaries(markdown)).toEqual([]);
    expect(itemsOf(markdown)).toHaveLength(1);
  });

  test('are folded as a whole when they make no asset unsound, after those that do', () => {
    const light = glbAsset('heron.glb', [sampleFinding({ level: 'warning' })]);
    const markdown = written([light, glbAsset('mule.glb', [sampleFinding()]), glbAsset('ant.glb')]);
    expect(headingsOf(markdown)).toEqual(['mule.glb: unsound', 'heron.glb: sound']);
    expect(summaries(markdown)).toEqual(['Findings by rule', '1 warning']);
  });

  test('stand under the name of their asset when all of them are waived', () => {
    const waived = sampleFinding({ waived: WAIVED });
    const markdown = written([glbAsset('heron.glb', [waived])]);
    expect(headingsOf(markdown)).toEqual(['heron.glb: unsound']);
    expect(summaries(markdown)).toEqual(['1 waived']);
  });

  test('name their rig where there are several', () => {
    const rigs = [sampleRig(), { ...sampleRig(), index: 1, name: 'mule' }];
    const asset = { ...glbAsset('cast.glb', [sampleFinding({ rig: 1 })]), rigs };
    expect(itemsOf(written([asset]))[0]).toMatch(/ at joint body\/neck\/beak of rig mule: /);
  });
});

describe('a report that is too long for a comment', () => {
  const faulty = (path: string, count: number) =>
    glbAsset(
      path,
      Array.from({ length: count }, () => sampleFinding()),
    );

  test('is cut, and counts what it left out', () => {
    const markdown = written([faulty('heron.glb', 1000)]);
    expect(markdown.length).toBeLessThanOrEqual(65_536);
    expect(markdown.length).toBeGreaterThan(64_000);
    const items = itemsOf(markdown).length;
    expect(markdown).toMatch(
      new RegExp(
        `\\nLeft out, to fit into a comment: ${1000 - items} findings\\. The full report, as text or JSON, has all of it\\.\\n$`,
      ),
    );
    expect(markupOf(markdown)).toEqual([
      'html_block <details>\n<summary>990 errors more</summary>\n',
      'html_block </details>\n',
    ]);
  });

  test('has room for every asset before it tells more of the first', () => {
    const markdown = written(['heron.glb', 'mule.glb', 'ant.glb'].map((path) => faulty(path, 500)));
    expect(headingsOf(markdown)).toHaveLength(3);
  });

  test('counts rows, findings and reasons of a large folder', () => {
    const assets = Array.from({ length: 3000 }, (_, at) =>
      at % 2 === 0
        ? faulty(`submission-${at}.glb`, 1)
        : unreadableAsset(`submission-${at}.glb`, 'the file is empty', null),
    );
    const markdown = written(assets);
    expect(markdown.length).toBeLessThanOrEqual(65_536);
    const told = itemsOf(markdown).length;
    const reasons = markdown.match(/^Cannot be read:/gm)?.length ?? 0;
    // Besides the rows of assets: two heads, and the rule that all findings are of.
    const rows = cellsOf(markdown).length - 3;
    expect(cellsOf(markdown)).toContainEqual(['axis.up', '1500', '1500', '0', '0']);
    expect(Math.min(told, reasons, rows)).toBeGreaterThan(50);
    expect(markdown).toContain(
      `${3000 - rows} rows of the table; why ${1500 - reasons} assets cannot be read; ${1500 - told} findings.`,
    );
  });

  test('says nothing of the kind when all is there', () => {
    expect(written([faulty('heron.glb', 20)])).not.toContain('Left out');
  });

  test('shows no note in place of an error that did not fit', () => {
    const long = sampleFinding({ message: 'the joint is rolled '.repeat(50) });
    const asset = glbAsset('heron.glb', [
      ...Array.from({ length: 30 }, () => long),
      sampleFinding({ level: 'note', message: 'm', remedy: 'r' }),
    ]);
    const markdown = writeMarkdown(sampleReport([asset]), { mostLetters: 8000 });
    expect(told(markdown).every((line) => line === 'error axis.up')).toBe(true);
    expect(markdown).toMatch(/: \d+ findings\./);
  });
});
