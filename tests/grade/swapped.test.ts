import { expect, it } from 'vitest';
import { copyGroups } from '../../src/grade/near-copies.js';
import { ByName } from '../../src/grade/older/csv-rows.js';
import type { OlderMark } from '../../src/grade/older/older-marks.js';
import { swappedFiles } from '../../src/grade/swapped.js';

const row = (from: string, animal: string, content: string | null) => ({
  ...{ name: animal === '' ? from : `${from}: ${animal}`, from, files: 1 },
  record: { content, joints: null, faults: null },
});

function olderOf(...marks: readonly (readonly [name: string, content: string | null])[]) {
  const byName = new ByName<OlderMark>();
  const all = marks.map(([name, content]): OlderMark => {
    const mark = { name, content, marks: [80], grade: null, joints: null, faults: null };
    byName.set(name, mark);
    return mark;
  });
  return { all, byName };
}

it('animals that have another name now have the files of their own submission', () => {
  const rows = [row('submission-01', 'wader', 'x'), row('submission-02', '', 'x')];
  const older = olderOf(['submission-01: heron', 'x'], ['submission-03', 'x']);
  expect(swappedFiles(rows, older, new Map())).toEqual([
    { name: 'submission-02', isOneFile: true, of: ['submission-01: heron', 'submission-03'] },
  ]);
});

it('files that could not be read are those of nobody', () => {
  const older = olderOf(['submission-01', null]);
  expect(swappedFiles([row('submission-02', '', null)], older, new Map())).toEqual([]);
});

it('animals that are alike within one submission are near copies still', () => {
  const rows = [row('submission-01', 'heron', 'x'), row('submission-01', 'wader', 'x')];
  const [heron = '', wader = ''] = rows.map(({ name }) => name);
  const similar = new Map([
    [heron, [wader]],
    [wader, [heron]],
  ]);
  expect(copyGroups(rows, similar)).toEqual([{ names: [heron, wader], sameFile: false }]);
});
