import { describe, expect, it } from 'vitest';
import { UsageError } from '../../../src/asset/errors.js';
import { parseGradesFile, writeGradesFile } from '../../../src/grade/older/grades-file.js';
import { readGradebook } from '../../../src/grade/older/read-gradebook.js';
import { readOlder } from '../../../src/grade/older/read-older.js';
import { decodeTable } from '../../../src/house/table-text.js';
import { gradesErrors } from '../../support/valid-grades.js';

const WHAT = 'the gradebook marks.csv';

const marksIn = (text: string): unknown =>
  readGradebook(text, WHAT).all.map(({ name, marks }) => [name, ...marks]);

describe('a gradebook edited by hand', () => {
  const SAME = [
    ['submission-01', 88.5],
    ['submission-02', null],
  ];

  it.each([
    [
      'as it was written',
      'submission,out of 100,look\r\n"submission-01",88.5,\r\n"submission-02",,x\r\n',
    ],
    [
      'semicolons and commas in numbers',
      'submission;out of 100\nsubmission-01;88,5\nsubmission-02;\n',
    ],
    ['tabs', 'submission\tout of 100\nsubmission-01\t88.5\nsubmission-02\t\n'],
    [
      'other columns, in another order',
      'remark,out of 100,Submission,age\n"a\nb",88.5, submission-01,3\n,,submission-02,\n',
    ],
    [
      'a title above the header',
      'Lantern class\n\nsubmission,out of 100\nsubmission-01,88.50\nsubmission-02,-\n',
    ],
    [
      'a line that names the separator',
      'sep=;\nsubmission;out of 100\nsubmission-01;88,5\nsubmission-02;\n',
    ],
    [
      'rows that are short, empty or without a name',
      'submission,of,out of 100\n,,\n,5,7\nsubmission-01,100,88.5\nsubmission-02\n',
    ],
  ])('is read all the same: %s', (_, text) => {
    expect(marksIn(text)).toEqual(SAME);
    expect(readGradebook(text, WHAT).notes).toEqual([]);
  });

  it.each([
    [
      'UTF-8 with a byte order mark',
      [0xef, 0xbb, 0xbf, ...Buffer.from('h\u00e9ron')],
      'h\u00e9ron',
    ],
    ['UTF-16', [0xff, 0xfe, ...Buffer.from('h\u00e9ron', 'utf16le')], 'h\u00e9ron'],
    ['Windows-1252', [...Buffer.from('h\u00e9ron', 'latin1')], 'h\u00e9ron'],
  ])('may be stored as %s', (_, bytes, text) => {
    expect(decodeTable(Uint8Array.from(bytes), WHAT).text).toBe(text);
  });

  it('is refused where it is no text', () => {
    expect(() => decodeTable(Uint8Array.from([80, 75, 3, 4, 0, 0]), WHAT)).toThrow(
      'is not a text file; save it as CSV',
    );
  });

  it('tells what it cannot use, and where, and goes on', () => {
    const text = 'submission,out of 100\na,10\nb,ill\n"c",20\na,11\n';
    const { all, notes } = readGradebook(text, WHAT);
    expect(all.map(({ name, marks }) => [name, marks[0]])).toEqual([
      ['b', null],
      ['c', 20],
    ]);
    expect(notes).toEqual([
      'has 2 rows for "a" (lines 2, 5), and none of them is compared; delete all but one',
      'line 3, "b": "ill" is not a number of points and counts as no mark',
    ]);
    const many = `submission,out of 100\n${Array.from({ length: 9 }, (_, at) => `s${at},x`).join('\n')}`;
    expect(readGradebook(many, WHAT).notes.at(-1)).toBe(
      'has 4 more rows that were not read in full',
    );
  });

  it('tells of columns that are there twice, and of points that nobody can have', () => {
    const text = 'submission,out of 100,out of 100\na,-5,1\nb,250,2\nc,100,3\n';
    expect(readGradebook(text, WHAT).notes).toEqual([
      'has the column "out of 100" more than once, and the first is used; delete the others',
      'has less than 0 points, or more than can be had, for "a", "b"; they are used as they are',
    ]);
  });

  it('does not take long, and says little, where one name is in all its rows', () => {
    const rows = (count: number): string => `submission,out of 100\n${'a,1\n'.repeat(count)}`;
    expect(() => readGradebook(rows(100_001), WHAT)).toThrow('rows (limit 100000)');
    const { notes } = readGradebook(rows(90_000), WHAT);
    expect(notes).toEqual([
      'has 90000 rows for "a" (lines 2, 3, 4, 5, 6 and 89995 more), and none of them is compared; delete all but one',
    ]);
  });

  it('is read with lines that end in different ways, as where several programs wrote it', () => {
    expect(marksIn('submission,out of 100\ra,1\r\nb,2\n"c",3\r')).toEqual([
      ['a', 1],
      ['b', 2],
      ['c', 3],
    ]);
  });

  it('tells lines of the file, also behind a cell of several lines', () => {
    const text = 'submission,look,out of 100\r\na,"one\r\ntwo\r\nthree",5\r\nb,,x\r\n';
    expect(readGradebook(text, WHAT).notes[0]).toMatch(/^line 5, "b"/);
  });

  it('has the hand-ins in their order, each once, and this one last', () => {
    const text =
      'out of 100,submission,hand-in 2 out of 100,hand-in 1 out of 50,out of 100\n95,a,90,40,1\n';
    const { handIns, all } = readGradebook(text, WHAT);
    expect(handIns.map(({ outOf }) => outOf)).toEqual([50, 100, 100]);
    expect(all[0]?.marks).toEqual([40, 90, 95]);
  });

  it('has grades as they were given, where it has a column for them', () => {
    const grades = (text: string): unknown =>
      readGradebook(text, WHAT).all.map(({ grade }) => grade);
    expect(grades('submission,out of 100,Grade\na,80,B\nb,7, good \nc,,\nd,5,-\ne\n')).toEqual([
      ...['B', 'good', null, null, null],
    ]);
    expect(grades("submission;out of 100;grade\na;80;'=A1\nb;7;1,3\n")).toEqual(['=A1', '1,3']);
    expect(grades('submission,out of 100,mark\na,80,B\n')).toEqual([null]);
    const { all, notes } = readGradebook(
      `submission,out of 100,grade,grade\na,80,${'x'.repeat(41)},B\n`,
      WHAT,
    );
    expect([all[0]?.marks, all[0]?.grade]).toEqual([[80], null]);
    expect(notes).toEqual([
      'has the column "grade" more than once, and the first is used; delete the others',
      `line 2, "a": "${'x'.repeat(41)}" is longer than 40 letters and counts as no grade`,
    ]);
  });

  it('finds names that a spreadsheet takes for numbers, where only one can be meant', () => {
    const rows = 'submission,out of 100\n12,7\n1.00E+05,8\n1.23456789012346E+017,9\n';
    const { byName } = readGradebook(rows, WHAT);
    const marks = ['00012', '1e5', '12', '012.glb', '123456789012345678'].map(
      (name) => byName.get(name)?.marks[0],
    );
    expect(marks).toEqual([7, 8, 7, undefined, undefined]);
    const both = readGradebook('submission,out of 100\n007,1\n7,2\n', WHAT).byName;
    expect(['007', '7', '07'].map((name) => both.get(name)?.marks[0])).toEqual([1, 2, undefined]);
  });

  it('finds names that a spreadsheet may take for a formula, with the apostrophe and without', () => {
    for (const cell of [`'=cmd`, '=cmd']) {
      const { byName, all } = readGradebook(`submission,out of 100\n${cell},7\n`, WHAT);
      expect([byName.get('=cmd')?.marks, all[0]?.name]).toEqual([[7], '=cmd']);
    }
  });

  it.each([
    ['', 'is empty'],
    ['name,points\na,3\n', 'has no column "submission"; its first row is: name, points'],
    ['submission,points\na,3\n', 'has no column with points, such as "out of 100"'],
    ['\u0001\u0002binary', 'has no column "submission"'],
    ['submission,out of 100\na,1\n"b,2\nc,3\n', 'is wrong at line 3: its quotes do not match'],
    ['submission,out of 0.001\na,1\n', 'has no column with points'],
  ])('is refused in one line when it is none: %j', (text, words) => {
    expect(() => readGradebook(text, WHAT)).toThrow(UsageError);
    expect(() => readGradebook(text, WHAT)).toThrow(words);
  });
});

describe('the file beside it', () => {
  const mark = {
    ...{ name: 'a', marks: [80], grade: 'B' },
    ...{ content: null, joints: null, faults: [] },
  };
  const file = { settings: 's', anonymous: false, handIns: [{ outOf: 100 }], submissions: [mark] };
  const grades = { text: writeGradesFile(file), what: 'the file grades.json' };

  it('is read as it was written', () => {
    expect(parseGradesFile(grades.text, grades.what)).toMatchObject(file);
  });

  it('fails its public schema where a part of it is missing, wrong or not of it', () => {
    const kept = JSON.parse(grades.text);
    expect(gradesErrors(kept)).toEqual([]);
    for (const part of Object.keys(kept))
      expect(gradesErrors({ ...kept, [part]: undefined }), part).not.toEqual([]);
    const [first] = kept.submissions;
    for (const part of Object.keys(first))
      expect(gradesErrors({ ...kept, submissions: [{ ...first, [part]: 3 }] }), part).not.toEqual(
        [],
      );
    expect(gradesErrors({ ...kept, more: 1 })).not.toEqual([]);
    expect(gradesErrors({ ...kept, handIns: [] })).not.toEqual([]);
  });

  it('gives way to points that were corrected by hand, and says so', () => {
    const book = { text: 'submission;out of 100\na;82,5\nb;3\n', what: WHAT };
    const older = readOlder('g', book, grades);
    expect(older.byName.get('a')?.marks).toEqual([82.5]);
    expect(older.all.map(({ name, marks }) => [name, ...marks])).toEqual([
      ['a', 82.5],
      ['b', 3],
    ]);
    expect(older.notes).toEqual([
      'the gradebook marks.csv has other points than were worked out for "a"; those of the gradebook are used',
      'the gradebook marks.csv has rows that were added by hand, for "b"; only their points and grades are compared',
    ]);
    const same = readOlder('g', { text: 'submission,out of 100\na,80.0\n', what: WHAT }, grades);
    expect(same.notes).toEqual([]);
  });

  it('may be older than grades are', () => {
    const text = grades.text.replace('"grade":"B",', '');
    expect(gradesErrors(JSON.parse(text))).toEqual([]);
    expect(parseGradesFile(text, grades.what).submissions[0]).toMatchObject({
      ...{ name: 'a', marks: [80], grade: null },
    });
  });

  it('gives way to grades that were changed by hand, and to nothing that a spreadsheet makes of them', () => {
    const withGrade = (grade: string, row: string) => {
      const text = writeGradesFile({ ...file, submissions: [{ ...mark, grade }] });
      const book = { text: `submission;out of 100;grade\na;${row}\n`, what: WHAT };
      const { all, notes } = readOlder('g', book, { ...grades, text });
      return [all[0]?.grade, notes.length];
    };
    expect(withGrade('B', '80;A')).toEqual(['A', 1]);
    expect(withGrade('B', '80;B')).toEqual(['B', 0]);
    expect(withGrade('B', '80;')).toEqual(['B', 0]);
    // Other points have another grade, unless the grade was corrected as well.
    expect(withGrade('B', '50;B')).toEqual([null, 1]);
    expect(withGrade('B', '50;C')).toEqual(['C', 2]);
    for (const [given, cell] of [
      ['1.0', '1'],
      ['1.3', '1,3'],
      ['true', 'TRUE'],
      ['=A1', "'=A1"],
    ])
      expect([given, withGrade(given ?? '', `80;${cell}`)]).toEqual([given, [given, 0]]);
    const { notes } = readOlder(
      'g',
      { text: 'submission,out of 100,grade\na,80,A\n', what: WHAT },
      grades,
    );
    expect(notes).toEqual([
      'the gradebook marks.csv has other grades than were given for "a"; those of the gradebook are used',
    ]);
  });

  it.each([
    ['', 'is empty'],
    ['{', 'is not JSON'],
    ['[]', 'was not written by trysquare'],
    [
      '{"format":"trysquare-grades","formatVersion":{"toString":1}}',
      'has format version {"toString":1}, but this trysquare reads version 1',
    ],
    [
      writeGradesFile({ ...file, submissions: [mark, mark] }),
      'is damaged: the submission "a" is in it twice',
    ],
    [writeGradesFile({ ...file, handIns: [{ outOf: 1e-300 }] }), 'is damaged: /handIns/0/outOf'],
    [
      writeGradesFile({ ...file, submissions: [{ ...mark, marks: [1e308] }] }),
      'is damaged: /submissions/0/marks/0',
    ],
    [
      '{"format":"trysquare-grades","formatVersion":99}',
      'has format version 99, but this trysquare reads version 1',
    ],
    ['{"format":"trysquare-grades","formatVersion":1}', 'is damaged: at the top must have'],
    [grades.text.replace('[80]', '[80,90]'), 'does not have a mark for each hand-in'],
    [grades.text.replace('[80]', '["80"]'), 'is damaged: /submissions/0/marks/0'],
  ])('is refused in one line when it is none: %j', (text, words) => {
    const read = (): unknown => parseGradesFile(text, 'the file g/grades.json');
    expect(read).toThrow(UsageError);
    expect(read).toThrow(words);
    expect(read).toThrow(
      'name the gradebook in the same folder, and only points and grades are compared',
    );
  });
});
