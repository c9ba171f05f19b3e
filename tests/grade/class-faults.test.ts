import { expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { classData } from '../../src/cli/grade/class-data-of.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { rowOf } from '../../src/grade/submission.js';
import type { Level } from '../../src/kit/finding.js';
import { writeClassPage } from '../../src/page/class/class-html.js';
import { ALONE, mark, SETTINGS } from './mark.js';
import { measuredAsset, type Seen } from './measured-asset.js';

const seen = (rule: string, level: Level, looked = 9): Seen => ({
  ...{ rule, looked, short: 1, stands: true, level },
});
const row = (name: string, ...all: readonly Seen[]) =>
  rowOf(
    mark(name, [measuredAsset('a.glb', [all])]),
    { ...ALONE, feedback: `${name}.md` },
    SETTINGS,
  );

const rows = [
  row('submission-01', seen('axis.curl', 'note')),
  row('submission-02', seen('axis.curl', 'note'), seen('axis.end', 'warning')),
  row('submission-03', seen('axis.curl', 'note'), seen('name.missing', 'warning')),
  row('submission-04', seen('name.missing', 'warning')),
];
const data = classData(rows, [], null, rubricOf(null, rules), 'trysquare');

it('what costs points leads the faults of a class, however common notes are', () => {
  expect(data.faults.map(({ rule, submissions, costs }) => [rule, submissions, costs])).toEqual([
    ['name.missing', 2, true],
    ['axis.end', 1, true],
    ['axis.curl', 3, false],
  ]);
  const page = writeClassPage(data);
  const label = '<code>axis.curl</code> <span class="aside">costs no points</span>';
  expect(page).toContain(label);
  expect(page.split('costs no points')).toHaveLength(2);
});

it('a note that costs nothing does not have to be fixed, and all else does', () => {
  expect(data.cards.map(({ first }) => first)).toEqual([
    null,
    expect.stringContaining('axis.end'),
    expect.stringContaining('name.missing'),
    expect.stringContaining('name.missing'),
  ]);
  expect(writeClassPage(data)).toContain('Nothing has to be fixed.');
  const marked = mark('a', [measuredAsset('a.glb', [[seen('axis.curl', 'note')]])]);
  const strict = rowOf(marked, { ...ALONE, feedback: 'a.md' }, { ...SETTINGS, failing: 'note' });
  expect(strict.first).toContain('axis.curl');
});
