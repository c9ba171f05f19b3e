import {
  chmodSync,
  lstatSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { UsageError } from '../../src/asset/errors.js';
import { gradeLine } from '../grade/run-grade.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder, writeFiles } from '../support/temp-folder.js';

type Cells = Readonly<Record<string, string>>;

const heron = buildGlb('heron');
const faulty = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

function bookAt(cwd: string, out: string): Cells[] {
  return parse(readFileSync(join(cwd, out, 'gradebook.csv')), { columns: true });
}

const readFeedback = (cwd: string, out: string, name: string): string =>
  readFileSync(join(cwd, out, 'feedback', `${name}.md`), 'utf8');

describe('three hand-ins of a class', () => {
  const first = {
    'one/submission-01.glb': faulty,
    'one/submission-02.glb': heron,
    'one/submission-03.glb': 'glTF',
    'one/submission-04.glb': buildGlb('mule'),
  };

  it('keep all marks, and tell what was mended, who is new, missing, renamed or the same', async () => {
    const cwd = tempFolder(first);
    expect((await gradeLine(cwd, ['one', '-o', 'g1'])).code).toBe(3);
    writeFiles(cwd, {
      'two/submission-01.glb': heron,
      'two/submission-02.glb': heron,
      'two/mule again.glb': buildGlb('mule'),
    });
    const before = readFileSync(join(cwd, 'g1/gradebook.csv'), 'utf8');
    const second = await gradeLine(cwd, ['two', '-o', 'g2', '--since', 'g1']);
    expect([second.code, second.stderr]).toEqual([0, '']);
    expect(readFileSync(join(cwd, 'g1/gradebook.csv'), 'utf8')).toBe(before);
    expect(second.stdout).toContain('submission-01.glb   100.0  A (was B)   +10.0  nothing');
    for (const list of [
      'Not handed in again (2):\n  submission-03.glb, submission-04.glb\n',
      'The same files as before (1):\n  submission-02.glb\n',
      'New (1):\n  mule again.glb\n',
      'mule again.glb (perhaps submission-04.glb)\n',
    ])
      expect(second.stdout).toContain(list);
    const cells = bookAt(cwd, 'g2').map((row) => [
      row.submission,
      row['hand-in 1 out of 100'],
      row['out of 100'],
      row.change,
      row.mended,
      row['new faults'],
      row.since,
      row['perhaps the same as'],
      row['grade before'],
      row.grade,
    ]);
    expect(cells).toEqual([
      ['mule again.glb', '', '100', '', '', '', 'new', 'submission-04.glb', '', 'A'],
      ['submission-01.glb', '90', '100', '10', '1', '0', 'handed in again', '', 'B', 'A'],
      ['submission-02.glb', '100', '100', '0', '0', '0', 'the same files as before', '', 'A', 'A'],
      ['submission-03.glb', '', '', '', '', '', 'not handed in again', '', '', ''],
      ['submission-04.glb', '100', '', '', '', '', 'not handed in again', '', 'A', ''],
    ]);
    const told = readFeedback(cwd, 'g2', 'submission-01.glb');
    expect(told).toContain(
      'Points: 90.0 before, 100.0 now (+10.0). Grade: B before, A now. Faults mended: 1. New: 0.',
    );
    expect(told).toContain(
      '- **Mended**: a joint rolled away from its segment (`axis.up`): `shin_L`',
    );
    expect(readFeedback(cwd, 'g2', 'mule-again.glb')).not.toContain('Since');

    // Back after a hand-in without it; and the marks of all hand-ins are there.
    writeFiles(cwd, {
      'three/submission-01.glb': faulty,
      'three/submission-04.glb': buildGlb('mule'),
    });
    const third = await gradeLine(cwd, ['three', '-o', 'g3', '--since', 'g2']);
    expect(third.stderr).toBe('');
    const marks = (out: string) =>
      bookAt(cwd, out).map((row) => [
        row.submission,
        row['hand-in 1 out of 100'],
        row['hand-in 2 out of 100'],
        row['out of 100'],
        row.change,
      ]);
    const all = [
      ['submission-01.glb', '90', '100', '90', '-10'],
      ['submission-04.glb', '100', '', '100', '0'],
      ['mule again.glb', '', '100', '', ''],
      ['submission-02.glb', '100', '100', '', ''],
      ['submission-03.glb', '', '', '', ''],
    ];
    expect(marks('g3')).toEqual(all);
    expect(readFeedback(cwd, 'g3', 'submission-01.glb')).toContain(
      '(-10.0). Before that: 90.0. Grade: A before, B now. Faults mended: 0. New: 1.',
    );

    // From the gradebook alone, edited by a spreadsheet that writes semicolons and commas.
    const edited = readFileSync(join(cwd, 'g2/gradebook.csv'), 'utf8')
      .replaceAll(',', ';')
      .replaceAll(';80;', ';80,0;');
    writeFileSync(join(cwd, 'edited.csv'), `\ufeff${edited}`);
    const alone = await gradeLine(cwd, ['three', '-o', 'g4', '--since', 'edited.csv']);
    expect(alone.stderr).toContain('edited.csv is a gradebook, which has points and grades alone');
    expect(marks('g4')).toEqual(all);
    expect(bookAt(cwd, 'g4')[0]?.mended).toBe('');
  }, 60_000);

  it('take corrected points and another rubric into account, and say so', async () => {
    const cwd = tempFolder({ 'class/a.glb': heron });
    await gradeLine(cwd, ['class', '-o', 'g1']);
    const book = readFileSync(join(cwd, 'g1/gradebook.csv'), 'utf8');
    writeFileSync(
      join(cwd, 'g1/gradebook.csv'),
      book.replace('"a.glb",100,100,100', '"a.glb",100,100,80'),
    );
    const points = '{ "points": { "axis": 30, "rest": 20 } }';
    writeFileSync(join(cwd, 'half.json'), points);
    const args = ['class', '-o', 'g2', '--since', 'g1', '--standard', 'half.json'];
    const { stderr } = await gradeLine(cwd, args);
    expect(stderr).toContain(
      'has other points than were worked out for "a.glb"; those of the gradebook are used',
    );
    const [row] = bookAt(cwd, 'g2');
    expect([row?.['hand-in 1 out of 50'], row?.['out of 50'], row?.change]).toEqual([
      '40',
      '50',
      '10',
    ]);
    expect(readFeedback(cwd, 'g2', 'a.glb')).toContain(
      'The rules, limits, points or steps of grades are not the same as last time',
    );
    await gradeLine(cwd, ['class', '-o', 'g1', '--since', 'g1', '--replace']);
    expect(bookAt(cwd, 'g1')[0]?.['hand-in 1 out of 100']).toBe('80');
  }, 30_000);

  it('take grades from the gradebook as they were given, by hand too, and do without that column', async () => {
    const cwd = tempFolder({ 'class/a.glb': heron, 'class/b.glb': faulty, 'class/c.zip': 'PK' });
    await gradeLine(cwd, ['class', '-o', 'g1']);
    const file = join(cwd, 'g1/gradebook.csv');
    const book = readFileSync(file, 'utf8');
    const again = async (text: string, out: string, ...more: string[]) => {
      writeFileSync(file, text);
      const { stderr } = await gradeLine(cwd, ['class', '-o', out, '--since', 'g1', ...more]);
      return [stderr, ...bookAt(cwd, out).map((row) => row['grade before'])];
    };
    expect(await again(book, 'g2')).toEqual(['', 'A', 'B', '']);
    const given = book.replace(/"B"\r\n/, '"A-"\r\n').replace(/,\r\n$/, ',"pending"\r\n');
    expect(await again(given, 'g3')).toEqual([
      expect.stringContaining(
        'has other grades than were given for "b.glb", "c.zip"; those of the gradebook are used',
      ),
      ...['A', 'A-', 'pending'],
    ]);
    expect(readFeedback(cwd, 'g3', 'b.glb')).toContain('Grade: A- before, B now.');
    const renamed = book.replace('"grade"', '"my grade"');
    expect(await again(renamed, 'g4')).toEqual(['', 'A', 'B', '']);
    writeFileSync(join(cwd, 'none.json'), '{ "grading": { "grades": [] } }');
    const none = await again(book, 'g5', '--standard', 'none.json');
    expect(none.slice(1)).toEqual([undefined, undefined, undefined]);
    expect(readFeedback(cwd, 'g5', 'b.glb')).not.toMatch(/grade [AB]|Grades?:/);
  }, 30_000);

  it.each([
    ['nowhere', 'there is no such file or folder; name a gradebook'],
    ['empty', 'the folder has no gradebook.csv'],
    ['some.glb', 'has no column "submission"'],
    ['odd', 'grades.json is not JSON; name the gradebook in the same folder'],
    ['coded', 'was graded with codes instead of names; add --anonymous'],
  ])('are not begun with older grades that are none: %s', async (since, words) => {
    const cwd = tempFolder({
      'class/a.glb': 'heron',
      'some.glb': 'heron',
      'odd/grades.json': '{',
      'coded/grades.json': JSON.stringify({
        format: 'trysquare-grades',
        formatVersion: 1,
        tool: { name: 'trysquare', version: '0' },
        settings: '',
        anonymous: true,
        handIns: [{ outOf: 100 }],
        submissions: [],
      }),
    });
    mkdirSync(join(cwd, 'empty'));
    const run = gradeLine(cwd, ['class', '--since', since]);
    await expect(run).rejects.toThrow(UsageError);
    await expect(run).rejects.toThrow(words);
    expect(readdirSync(cwd)).not.toContain('grades');
  });
});

describe('what is told of the same files', () => {
  const since = (cwd: string, out: string, name = 'a.glb'): string =>
    readFeedback(cwd, out, name).split('## Since the last hand-in')[1]?.split('\n## ')[0] ?? '';
  const again = async (cwd: string, out: string, ...more: string[]): Promise<string> => {
    await gradeLine(cwd, ['class', '-o', out, '--since', 'g1', ...more]);
    return since(cwd, out);
  };

  it('is never that anything was mended: all that differs comes from the terms', async () => {
    const cwd = tempFolder({
      'class/a.glb': faulty,
      'loose.json': '{ "levels": { "axis.up": "none" } }',
    });
    await gradeLine(cwd, ['class', '-o', 'g1']);
    const told = await again(cwd, 'g2', '--standard', 'loose.json');
    expect(told).toContain('The files are the same as those of the last hand-in.');
    expect(told).toContain('Faults no longer found: 1. Now found: 0. Still there: 0.');
    expect(told).toContain(
      'comes from the rules, limits, points or steps of grades, which are not the same as last time.',
    );
    expect(told).toContain('- **No longer found**: ');
    expect(told).not.toMatch(/mended|new\b/i);
    expect([bookAt(cwd, 'g2')[0]?.mended, bookAt(cwd, 'g2')[0]?.['new faults']]).toEqual([
      '0',
      '0',
    ]);

    await gradeLine(cwd, ['class', '-o', 'g1', '--replace', '--standard', 'loose.json']);
    const back = await again(cwd, 'g3');
    expect(back).toContain('Faults no longer found: 0. Now found: 1. Still there: 0.');
    expect(back).toContain('- **Now found**: ');
    expect(bookAt(cwd, 'g3')[0]?.['new faults']).toBe('0');
  }, 30_000);

  it('is that another version found it, where the terms are the same, too', async () => {
    const cwd = tempFolder({ 'class/a.glb': faulty });
    await gradeLine(cwd, ['class', '-o', 'g1']);
    const words = 'comes from another version of trysquare';
    expect(await again(cwd, 'g2')).not.toContain(words);
    const file = join(cwd, 'g1/grades.json');
    // As a version wrote it that did not find the shin, and found a wing.
    writeFileSync(file, readFileSync(file, 'utf8').replaceAll('shin_L', 'wing_L'));
    const told = await again(cwd, 'g3');
    expect(told).toContain(words);
    expect(told).toContain('Faults no longer found: 1. Now found: 1. Still there: 0.');
    expect(told).toMatch(/\*\*No longer found\*\*: .*`wing_L`\n.*\*\*Now found\*\*: .*`shin_L`/);
  }, 30_000);

  it('calls notes notes, by what counts for points, and reads grades that do not tell', async () => {
    const fault = faultNamed('quarter-turn-holder');
    const cwd = tempFolder({
      'class/a.glb': buildGlb(fault.puppet, { faults: [fault] }),
      'grave.json': '{ "grading": { "counts": { "HOLDER": "warning" } } }',
    });
    await gradeLine(cwd, ['class', '-o', 'g1']);
    expect(bookAt(cwd, 'g1')[0]?.points).toBe('100');
    expect(await again(cwd, 'g2')).toContain('The same 1 note as last time.');

    const file = join(cwd, 'g1/grades.json');
    const kept = readFileSync(file, 'utf8');
    const rule = /"rule":"([^"]+)"/.exec(kept)?.[1] ?? '';
    const standard = readFileSync(join(cwd, 'grave.json'), 'utf8').replace('HOLDER', rule);
    writeFileSync(join(cwd, 'grave.json'), standard);
    const graver = await again(cwd, 'g3', '--standard', 'grave.json');
    expect(graver).toContain('Notes no longer found: 0. Now found: 0. Now faults: 1.');
    expect(graver).toContain('- **A fault now**: ');

    const older = kept.replaceAll(',"note":true', '');
    expect(older).not.toBe(kept);
    writeFileSync(file, older);
    expect(await again(cwd, 'g4')).toContain('The same 1 note as last time.');
    writeFileSync(file, older.replace(/"at":\["[^"]*"/, '"at":["gone"'));
    expect(await again(cwd, 'g5')).toContain(
      'Findings no longer found: 1. Now found: 1. Still there: 0.',
    );
  }, 60_000);
});

describe('the file that another handed in before', () => {
  const mule = buildGlb('mule');
  const first = {
    'one/submission-01.glb': faulty,
    'one/submission-02.glb': heron,
    'one/submission-03.glb': mule,
    'one/submission-04.glb': mule,
    'one/submission-05.glb': buildGlb('marionette'),
    'one/submission-06.glb': buildGlb('caterpillar'),
    'viewer.js': '// the viewer',
  };
  // Two have swapped, one copies, one keeps what two had, and one is there under another name.
  const second = {
    'two/submission-01.glb': heron,
    'two/submission-02.glb': faulty,
    'two/submission-03.glb': mule,
    'two/submission-04.glb': buildGlb('mule', { unitScale: 100 }),
    'two/marionette.glb': buildGlb('marionette'),
    'two/submission-06.glb': mule,
  };

  it('is told to the teacher alone, and not of one who had it as well, or has another name', async () => {
    const cwd = tempFolder({ ...first, ...second });
    const run = (...args: string[]) =>
      runCli(['grade', ...args], { cwd, pageScript: join(cwd, 'viewer.js') });
    await run('one', '--out', 'g1');
    const { stdout } = await run('two', '--out', 'g2', '--since', 'g1', '--pages');
    const facts = [
      'submission-01.glb has the file that submission-02.glb handed in before',
      'submission-02.glb has the file that submission-01.glb handed in before',
      'submission-06.glb has the file that submission-03.glb and submission-04.glb handed in before',
    ];
    const [, told = ''] = stdout.split('What another handed in before (3):');
    expect(told.split('\n\n')[0]?.replace(/\n {4}/g, ' ')).toBe(
      facts.map((fact) => `\n  ${fact}`).join(''),
    );
    expect(stdout).toContain('marionette.glb (perhaps submission-05.glb)');
    const read = (path: string): string => readFileSync(join(cwd, 'g2', path), 'utf8');
    const teacher = read('teacher.html').replace(/<[^>]*>/g, '');
    for (const fact of facts) expect(teacher).toContain(fact);
    expect(teacher).toContain('submission-03.glb, submission-06.glb: the same file');
    const others = readdirSync(join(cwd, 'g2'), { recursive: true, encoding: 'utf8' }).filter(
      (path) => /\.(md|html)$/.test(path) && path !== 'teacher.html',
    );
    expect(others).toContain('index.html');
    expect(others.length).toBeGreaterThan(12);
    for (const path of others) expect(read(path)).not.toMatch(/handed in before|the same file\b/);
  }, 60_000);

  it('is told of submissions, not of their animals, and under codes', async () => {
    const cwd = tempFolder({
      'trysquare.json': '{ "submissions": { "rigs": "apart" } }',
      'class/quillon/heron.glb': heron,
      'class/quillon/mule.glb': mule,
      'class/tamsin/marionette.glb': buildGlb('marionette'),
    });
    const args = ['class', '--anonymous', '--key', 'key.csv'];
    expect((await gradeLine(cwd, [...args, '-o', 'g1'])).stdout).not.toContain('What another');
    writeFiles(cwd, { 'class/tamsin/heron.glb': heron, 'class/tamsin/marionette.glb': mule });
    const { stdout } = await gradeLine(cwd, [...args, '-o', 'g2', '--since', 'g1']);
    expect(stdout.replace(/\s+/g, ' ')).toMatch(
      /What another handed in before \(1\): (\w{5}) has the files that (\w{5}): 1 and \2: 2 handed in before /,
    );
  }, 30_000);
});

it('a joint at fault in several rigs is named once, with the number of rigs', async () => {
  const files = (bytes: typeof heron) =>
    Object.fromEntries(['a', 'b', 'c', 'd'].map((name) => [`class/troupe/${name}.glb`, bytes]));
  const cwd = tempFolder(files(faulty));
  await gradeLine(cwd, ['class', '-o', 'g1']);
  writeFiles(cwd, files(heron));
  await gradeLine(cwd, ['class', '-o', 'g2', '--since', 'g1']);
  expect(readFeedback(cwd, 'g2', 'troupe')).toContain(
    '- **Mended**: a joint rolled away from its segment (`axis.up`), 4 places: `shin_L` (4 rigs)\n',
  );
});

it('who is late is told by the newest file, by how much, and costs nothing', async () => {
  const cwd = tempFolder({ 'class/a/heron.glb': heron, 'class/b.glb': heron, 'class/c.zip': 'PK' });
  const due = new Date('2026-03-01T18:00:00Z');
  utimesSync(join(cwd, 'class/a/heron.glb'), due, new Date(due.getTime() + 90 * 60_000));
  utimesSync(join(cwd, 'class/b.glb'), due, due);
  const { stdout } = await gradeLine(cwd, ['class', '--due', '2026-03-01T18:00Z']);
  expect(stdout).toContain(
    'Late, by the newest time of their files, which copying can change (1):',
  );
  expect(stdout).toContain('  a (1 hour 30 minutes)\n');
  expect(bookAt(cwd, 'grades').map((row) => [row.late, row.points])).toEqual([
    ['1 hour 30 minutes', '100'],
    ['', '100'],
    ['', ''],
  ]);
  await expect(gradeLine(cwd, ['class', '--due', 'soon', '-o', 'x'])).rejects.toThrow(
    '--due "soon"',
  );
});

describe('what the standard says of submissions', () => {
  const files = (standard: object) => ({
    'trysquare.json': JSON.stringify({ submissions: standard }),
    'class/by-name/heron_FINAL.glb': heron,
    'class/by-name/old/heron_draft.glb': faulty,
    'class/by-student/final.txt': '\ufeff./old\\heron_draft.glb\r\n\r\n',
    'class/by-student/heron_final.glb': heron,
    'class/by-student/old/heron_draft.glb': faulty,
    'class/none/heron.glb': heron,
    'class/outside/final.txt': '../none/heron.glb',
    'class/outside/heron.glb': heron,
    'class/empty-word/final.txt': ' \n',
    'class/empty-word/heron.glb': heron,
    'class/single.glb': heron,
  });

  it('has the final files marked, named by a pattern or by the student, and never guesses', async () => {
    const cwd = tempFolder(files({ final: ['*_final.glb'], named: 'final.txt' }));
    mkdirSync(join(cwd, 'class/linked'));
    writeFileSync(join(cwd, 'class/linked/heron.glb'), heron);
    symlinkSync(join(cwd, 'class/by-student/final.txt'), join(cwd, 'class/linked/final.txt'));
    const { code } = await gradeLine(cwd, ['class']);
    expect(code).toBe(3);
    expect(
      bookAt(cwd, 'grades').map((row) => [row.submission, row.points, row.files, row.look]),
    ).toEqual([
      ['by-name', '100', '1', ''],
      ['by-student', '90', '1', ''],
      ['empty-word', '', '0', 'its final.txt is empty; it has to name the final file'],
      ['linked', '', '0', 'its final.txt is not a file'],
      ['none', '', '0', 'none of its files is called "*_final.glb", and no final.txt names one'],
      [
        'outside',
        '',
        '0',
        'its final.txt names "../none/heron.glb", and there is no .glb, .gltf or .vrm file of that name in its folder',
      ],
      ['single.glb', '100', '1', ''],
    ]);
    expect(readFeedback(cwd, 'grades', 'by-name')).toContain(
      'Only the final file was marked; 1 other file of this submission was not looked at.',
    );
  }, 30_000);

  it('reads what a student has written, whatever the letters and the case of its name', async () => {
    const cwd = tempFolder({
      ...files({ named: 'final.txt' }),
      'class/by-student/Final.TXT': Buffer.from('\uFEFFnowhere.glb', 'utf16le'),
      'class/single/FINAL.txt': Buffer.from('h\u00e9ron.glb', 'latin1'),
      'class/single/h\u00e9ron.glb': heron,
      'class/single/other.glb': heron,
    });
    await gradeLine(cwd, ['class']);
    const look = (name: string): (string | undefined)[] =>
      bookAt(cwd, 'grades').flatMap((row) =>
        row.submission === name ? [row.points, row.files, row.look] : [],
      );
    expect(look('single')).toEqual(['100', '1', '']);
    expect(look('by-student')).toEqual([
      '',
      '0',
      'it has Final.TXT and final.txt; leave one of them',
    ]);
  });

  it('has several animals marked apart, each with its own points and feedback', async () => {
    const cwd = tempFolder({
      'trysquare.json': '{ "submissions": { "rigs": "apart" } }',
      'class/troupe/heron.glb': faulty,
      'class/troupe/mule.glb': buildGlb('mule'),
      'class/troupe/cut.glb': 'glTF',
    });
    const { code } = await gradeLine(cwd, ['class']);
    expect(code).toBe(3);
    const rows = bookAt(cwd, 'grades');
    expect(rows.map((row) => [row.submission, row.points, row.errors, row.files])).toEqual([
      ['troupe: cut', '', '', '1'],
      ['troupe: heron', '90', '1', '1'],
      ['troupe: mule', '100', '0', '1'],
    ]);
    expect(readFeedback(cwd, 'grades', 'troupe-mule')).not.toContain('flipped');
    const again = await gradeLine(cwd, ['class', '-o', 'g2', '--since', 'grades']);
    expect(again.stdout).toContain('The same files as before (3):');
    // Animals have numbers where names are codes, and keep their marks, also from when they had names.
    for (const [out, since] of [
      ['g3', 'grades'],
      ['g4', 'g3'],
    ] as const) {
      const args = ['class', '--anonymous', '--key', 'key.csv', '-o', out, '--since', since];
      const { stdout } = await gradeLine(cwd, args);
      expect(stdout).toContain('The same files as before (3):');
      expect(stdout).not.toContain('Not handed in again');
      expect(bookAt(cwd, out).map((row) => row['hand-in 1 out of 100'])).toEqual(['', '90', '100']);
    }
  }, 30_000);

  it.each([
    ['{ "submissions": { "final": ["a/../b"] } }', 'has .. after a name'],
    [
      '{ "submissions": { "final": ["*.glb", "./../*.glb"] } }',
      '"submissions" > "final" has "./../*.glb", which leads out of the folder of a submission',
    ],
    ['{ "submissions": { "final": [] } }', 'final'],
    ['{ "submissions": { "named": "../final.txt" } }', 'named'],
    ['{ "submissions": { "rigs": "each" } }', 'rigs'],
  ])('is refused where it is wrong: %s', async (standard, words) => {
    const cwd = tempFolder({ 'trysquare.json': standard, 'class/a.glb': 'x' });
    const run = gradeLine(cwd, ['class']);
    await expect(run).rejects.toThrow(UsageError);
    await expect(run).rejects.toThrow(words);
  });
});

describe('an anonymous class', () => {
  /** Names that nothing but the key may hold. */
  const NAMES = /quillon|tamsin|wexford|bramble|oakleaf/i;

  function everything(cwd: string, out: string): string {
    const folder = join(cwd, out);
    return readdirSync(folder, { recursive: true, withFileTypes: true })
      .map((entry) => {
        const text = entry.isFile() ? readFileSync(join(entry.parentPath, entry.name), 'utf8') : '';
        return `${entry.name}\n${text}`;
      })
      .join('\n');
  }

  const made = () => {
    const gltf = build('mule', { container: 'gltf-external' }).files;
    const [json] = [...gltf].filter(([name]) => name.endsWith('.gltf'));
    return {
      'class/quillon/heron-by-tamsin.glb': faulty,
      'class/wexford.glb': heron,
      'class/bramble.zip': 'PK',
      'class/oakleaf/cut-oakleaf.glb': heron.slice(0, 4000),
      // Its buffer is not there, and its name tells whose it is.
      'class/tamsin.gltf': Buffer.from(json?.[1] ?? [])
        .toString('utf8')
        .replace(/[\w-]+\.bin/, 'tamsin-buffer.bin'),
      'viewer.js': '// the viewer',
    };
  };

  it('has codes in all that is written and told, and the names in the key alone', async () => {
    const cwd = tempFolder(made());
    const run = (...args: string[]) =>
      runCli(['grade', ...args], { cwd, pageScript: join(cwd, 'viewer.js') });
    const args = ['class', '--anonymous', '--key', 'mine/key.csv', '--pages'];
    const { code, stdout, stderr } = await run(...args, '--out', 'g1');
    expect([code, stderr]).toEqual([3, '']);
    expect(stdout).not.toMatch(NAMES);
    expect(stdout).toContain('Key, for you alone: mine/key.csv.');
    expect(everything(cwd, 'g1')).not.toMatch(NAMES);
    const key: Cells[] = parse(readFileSync(join(cwd, 'mine/key.csv')), { columns: true });
    expect(key.map(({ submission }) => submission)).toEqual([
      'bramble.zip',
      'oakleaf',
      'quillon',
      'tamsin.gltf',
      'wexford.glb',
    ]);
    const codes = bookAt(cwd, 'g1').map(({ submission }) => submission ?? '');
    expect(codes).toEqual(key.map(({ code: own }) => own ?? '').sort());

    // The next hand-in has the same codes, and one more; what was in the key stays.
    const text = readFileSync(join(cwd, 'mine/key.csv'), 'utf8');
    renameSync(join(cwd, 'class/bramble.zip'), join(cwd, 'class/bramble-2.zip'));
    const second = await run(...args, '--out', 'g2', '--since', 'g1');
    expect([second.code, second.stderr]).toEqual([3, '']);
    expect(everything(cwd, 'g2')).not.toMatch(NAMES);
    expect(second.stdout).not.toMatch(NAMES);
    expect(readFileSync(join(cwd, 'mine/key.csv'), 'utf8').startsWith(text)).toBe(true);
    expect(second.stdout).toMatch(/Not handed in again \(1\):\n {2}\w{5}\n/);

    // Older grades under names are told under codes as well.
    await gradeLine(cwd, ['class', '--out', 'named']);
    const third = await run(...args, '--out', 'g3', '--since', 'named');
    expect(third.code).toBe(3);
    expect(everything(cwd, 'g3')).not.toMatch(NAMES);
    // A key that is not the one of the older grades.
    const lost = await run(
      'class',
      '--anonymous',
      '--key',
      'other.csv',
      '--out',
      'g4',
      '--since',
      'g1',
    );
    expect(lost).toMatchObject({ code: 2, stdout: '' });
    expect(lost.stderr).toContain('graded with codes that the key other.csv does not have');
  }, 60_000);

  it('leave the key where a link leads, with its permissions and its byte order mark', async () => {
    const cwd = tempFolder({ 'class/a.glb': 'x', 'mine/key.csv': '\uFEFFsubmission,code\nb,X1\n' });
    const key = join(cwd, 'mine/key.csv');
    chmodSync(key, 0o600);
    symlinkSync(key, join(cwd, 'key.csv'));
    await gradeLine(cwd, ['class', '--anonymous', '--key', 'key.csv']);
    expect(readFileSync(key, 'utf8')).toMatch(/^\uFEFFsubmission,code\nb,X1\n"a.glb","\w{5}"\n$/);
    expect(statSync(key).mode & 0o777).toBe(0o600);
    expect(lstatSync(join(cwd, 'key.csv')).isSymbolicLink()).toBe(true);
  });

  it.each([
    [['--key', 'k.csv'], '--key is only of use with --anonymous'],
    [
      ['--anonymous', '--key', 'grades/k.csv'],
      'which is in the folder of the grades and could be handed out',
    ],
    [['--anonymous', '--key', 'class/k.csv'], 'which is in the folder of the class'],
    [['--anonymous', '--key', 'twice.csv'], 'line 3: "b" has the same code as "a" at line 2'],
    [
      ['--anonymous', '--key', 'note.txt'],
      'the key note.txt has no column "submission" and "code"',
    ],
    [['--anonymous', '--key', 'class'], 'class'],
    [['--anonymous', '--key', 'same/k.csv'], 'which is in the folder of the class'],
    [['--anonymous', '--key', 'nowhere.csv'], 'nowhere.csv is not a regular file'],
    [['--anonymous', '--key', '-'], '--key has to name a file'],
    [['--anonymous', '--key', 'called.csv'], 'has "a" as a code, and the submission "a.glb"'],
    [['--anonymous', '--key', 'open.csv'], 'is wrong at line 2: its quotes do not match'],
  ])('is refused in one line, and nothing is written: %j', async (args, words) => {
    const cwd = tempFolder({
      'class/a.glb': 'x',
      'twice.csv': 'submission,code\na,X1\nb,x1\n',
      'note.txt': 'dear teacher',
      'called.csv': 'submission,code\nb,a\n',
      'open.csv': 'submission,code\n"a,X1\nb,X2\n',
    });
    symlinkSync(join(cwd, 'class'), join(cwd, 'same'));
    symlinkSync(join(cwd, 'gone'), join(cwd, 'nowhere.csv'));
    const before = readdirSync(cwd);
    const run = gradeLine(cwd, ['class', ...args]);
    await expect(run).rejects.toThrow(UsageError);
    await expect(run).rejects.toThrow(words);
    expect(readdirSync(cwd)).toEqual(before);
  });
});
