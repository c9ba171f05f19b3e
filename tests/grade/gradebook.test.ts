import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { writeGradebook } from '../../src/grade/gradebook.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { type Row, rowOf } from '../../src/grade/submission.js';
import { writeSummary } from '../../src/grade/summary.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { unreadableAsset } from '../report/sample-report.js';
import { ALONE, mark, SETTINGS } from './mark.js';
import { measuredAsset } from './measured-asset.js';

const POINTS = { axis: 20, place: 5 };
const rubric = rubricOf(POINTS, rules);

function row(name: string, assets: readonly AssetReport[], reason: string | null = null): Row {
  const marked = mark(name, assets, POINTS, reason);
  return rowOf(marked, { ...ALONE, feedback: `feedback/${name}.md` }, SETTINGS);
}

const good = measuredAsset('a.glb', [
  [
    { rule: 'axis.up', looked: 4, short: 1, stands: true, level: 'warning' },
    { rule: 'place.pair', looked: null, short: 0, stands: false },
  ],
]);

const none: ReadonlyMap<string, readonly string[]> = new Map();

/** Read by a library that is not ours (RFC 4180). */
function table(rows: readonly Row[], similar = none): string[][] {
  return parse(writeGradebook(rows, rubric, similar), { record_delimiter: '\r\n' });
}

describe('the gradebook', () => {
  it('has a row a submission, with points, counts and reasons', () => {
    const rows = [
      row('submission-01', [good]),
      row('submission-02', [unreadableAsset('submission-02/b.glb', 'the file is empty', null)]),
      row('submission-03', [], 'the folder has no .glb, .gltf or .vrm file'),
    ];
    const similar = new Map([['submission-01', ['submission-07']]]);
    expect(table(rows, similar)).toEqual([
      'submission,points,of,out of 25,verdict,axis,place,errors,warnings,notes,files,look,similar to,feedback,grade'.split(
        ',',
      ),
      // 20 x 1/2 leaves 10; 10 x 25 / 20 = 12.5.
      [
        'submission-01',
        '10',
        '20',
        '12.5',
        'sound',
        '10',
        '',
        '0',
        '1',
        '0',
        '1',
        '',
        'submission-07',
        'feedback/submission-01.md',
        // 12.5 of 25 is 50 %.
        'B',
      ],
      [
        'submission-02',
        '',
        '',
        '',
        '',
        '',
        '',
        '',
        '',
        '',
        '1',
        'submission-02/b.glb cannot be read: the file is empty',
        '',
        'feedback/submission-02.md',
        '',
      ],
      [
        'submission-03',
        '',
        '',
        '',
        '',
        '',
        '',
        '',
        '',
        '',
        '0',
        'the folder has no .glb, .gltf or .vrm file',
        '',
        'feedback/submission-03.md',
        '',
      ],
    ]);
  });

  it.each(['=cmd|x', '+1', '@sum', '-1', 'a\n=b', 'a;=b', '\t=c'])(
    'lets no name begin a formula: %j',
    (name) => {
      const similar = new Map([[name, ['=other']]]);
      for (const cells of table([row(name, [good])], similar))
        for (const cell of cells) expect(cell).not.toMatch(/^[\s]*[=+\-@]|\n/);
    },
  );

  it('lists ten near copies and counts the others', () => {
    const others = Array.from({ length: 14 }, (_, at) => `s${at}`);
    const cell = table([row('a', [good])], new Map([['a', others]]))[1]?.at(-3);
    expect(cell).toBe('s0; s1; s2; s3; s4; s5; s6; s7; s8; s9 and 4 more');
  });
});

describe('the summary', () => {
  const rows = [
    row('heron', [good]),
    row('mule', [{ ...good, verdict: 'sound', findings: [] }]),
    row('late', [], 'a .zip file is no glTF'),
    row('turned\u202E\u001b[2J', [good]),
  ];
  const similar = new Map([
    ['heron', ['mule']],
    ['mule', ['heron']],
  ]);

  it('shows the class, who needs a look, and near copies in neutral words', () => {
    expect(
      writeSummary(rows, rubric, similar, { quiet: false, columns: null }),
    ).toMatchInlineSnapshot(`
      "submission             of 25  grade  fix first
      heron                   12.5  B      a joint rolled away from its segment (axis.up, 1 of 4 joints)
      mule                    25.0  A      nothing
      late                       -  -      not graded, see below
      turned\\u202e\\u001b[2J   12.5  B      a joint rolled away from its segment (axis.up, 1 of 4 joints)

      For a person to look at (1):
        late: a .zip file is no glTF

      Same joints and weights (a shared starting file also looks like this):
        heron, mule

      "
    `);
  });

  it('is wrapped to the terminal at its words, under the column they stand in', () => {
    const long = `a .zip file ${'is packed and '.repeat(10)}waits`;
    const all = [row('heron', [good]), row('l'.repeat(40), [], long), row('mule', [good])];
    const wrappedAt = (columns: number | null): string[] =>
      writeSummary(all, rubric, similar, { quiet: false, columns }).split('\n');
    for (const columns of [80, 60, 56]) {
      // A name is never broken, so its own line may be as long as it is.
      for (const line of wrappedAt(columns).filter((item) => item.includes(' ')))
        expect(line.includes('l'.repeat(40)) ? 0 : line.length).toBeLessThanOrEqual(columns);
    }
    const [head = '', first = '', second = ''] = wrappedAt(80);
    expect(first).toMatch(/^heron .* {2}a joint rolled away from$/);
    expect(second).toMatch(/^ +its segment \(axis\.up, 1$/);
    expect(second.search(/\S/)).toBe(head.indexOf('fix first'));
    const narrow = wrappedAt(60);
    expect(narrow[1]).toBe('    fix first');
    expect(narrow[2]).toMatch(/^heron +\d+\.\d {2}B$/);
    expect(narrow[3]).toMatch(/^ {4}a joint rolled away/);
    const piped = wrappedAt(null);
    expect(piped[1]).toMatch(/segment \(axis\.up, 1 of 4 joints\)$/);
    const look = piped.slice(piped.indexOf('For a person to look at (1):') + 1);
    expect(look[1]).toMatch(/^ {4}\S/);
    for (const line of look) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('is without its table when quiet', () => {
    const text = writeSummary(rows, rubric, similar, { quiet: true, columns: null });
    expect(text).not.toContain('fix first');
    expect(text).toMatch(/^For a person to look at \(1\):\n {2}late: /);
  });

  const groups = (similar: ReadonlyMap<string, readonly string[]>): string[] => {
    const lines = writeSummary(rows, rubric, similar, { quiet: true, columns: null }).split('\n');
    return lines.slice(lines.findIndex((line) => line.startsWith('Same joints')) + 1);
  };

  it('tells a group of near copies once', () => {
    const each = new Map([
      ['heron', ['mule', 'late']],
      ['mule', ['heron', 'late']],
      ['late', ['heron', 'mule']],
    ]);
    expect(groups(each)).toEqual(['  heron, mule, late', '', '']);
  });

  it('does not tell two to be alike for what a third, with rigs like both, hands in', () => {
    const between = new Map([
      ['heron', ['mule']],
      ['mule', ['heron', 'late']],
      ['late', ['mule']],
    ]);
    expect(groups(between)).toEqual(['  heron, mule', '  mule, late', '', '']);
  });
});
