import {
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { beforeAll, describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed, faults } from '../../fixtures/faults/index.js';
import { UsageError } from '../../src/asset/errors.js';
import { DEFAULT_GRADES } from '../../src/standard/grade-steps.js';
import { DEFAULT_GRADING } from '../../src/standard/grading.js';
import { classOf30, named } from '../grade/class-of-30.js';
import { type GradeRun, gradeLine } from '../grade/run-grade.js';
import { tempFolder } from '../support/temp-folder.js';

type Cells = Readonly<Record<string, string>>;

function gradebook(cwd: string, out = 'grades'): Cells[] {
  return parse(readFileSync(join(cwd, out, 'gradebook.csv')), { columns: true });
}

describe('a class of 30 with 3 broken files', () => {
  let cwd: string;
  let graded: GradeRun;
  beforeAll(async () => {
    cwd = mkdtempSync(join(tmpdir(), 'trysquare-'));
    classOf30(cwd);
    graded = await gradeLine(cwd, ['class']);
    return () => rmSync(cwd, { recursive: true, force: true });
  });

  it('has a row and feedback for each, the broken ones for a person to look at', () => {
    const { code, stdout, stderr } = graded;
    expect([code, stderr]).toEqual([3, '']);
    const rows = gradebook(cwd);
    expect(rows).toHaveLength(30);
    expect(rows.map((row) => row.submission)).toEqual(readdirSync(join(cwd, 'class')).sort());
    const asides = rows.filter((row) => row.points === '');
    expect(asides.map((row) => row.submission)).toEqual([
      'submission-09.glb',
      'submission-18.gltf',
      'submission-27.glb',
    ]);
    for (const { look } of asides) expect(look).toContain('cannot be read: ');
    expect(readdirSync(join(cwd, 'grades/feedback'))).toHaveLength(30);
    for (const { feedback, submission } of rows) {
      const text = readFileSync(join(cwd, 'grades', feedback ?? ''), 'utf8');
      expect(text).toContain(`# \`${submission}\`\n`);
    }
    expect(stdout).toContain('For a person to look at (3):\n  submission-09.glb: ');
    expect(stdout).toContain('30 submissions. Gradebook: grades/gradebook.csv.');
  }, 60_000);

  it('adds up, and gives the sound cast everything and the faulty less', () => {
    const families = ['root', 'rest', 'axis', 'scale', 'chain', 'place', 'skin', 'motion', 'name'];
    let faulty = 0;
    for (const row of gradebook(cwd).filter(({ points }) => points !== '')) {
      const tenths = families.reduce(
        (sum, family) => sum + Math.round(Number(row[family]) * 10),
        0,
      );
      expect([row.submission, tenths]).toEqual([
        row.submission,
        Math.round(Number(row.points) * 10),
      ]);
      expect(Number(row.points)).toBeLessThanOrEqual(Number(row.of));
      const whole = Math.round((Number(row.points) / Number(row.of)) * 1000) / 10;
      const backwards = row['out of 100'] === '50';
      const most = backwards ? 50 : row.verdict === 'unsound' ? 90 : 100;
      expect(Number(row['out of 100'])).toBe(Math.min(most, whole));
      if (backwards) expect(Number(row.chain)).toBe(0);
      const told = Number(row.errors) + Number(row.warnings) + Number(row.notes);
      const at = Number(/\d+/.exec(row.submission ?? '')?.[0]);
      if (at % 3 === 0) expect([told, row['out of 100']]).toEqual([0, '100']);
      else {
        expect(told).toBeGreaterThan(0);
        const text = readFileSync(join(cwd, 'grades', row.feedback ?? ''), 'utf8');
        const isSerious =
          Number(row.errors) + Number(row.warnings) > 0 || text.includes(', counts as an error');
        expect(Number(row['out of 100']) < 100).toBe(isSerious);
        if (isSerious) faulty++;
      }
    }
    expect(faulty).toBeGreaterThan(10);
  }, 60_000);
});

describe('what is handed in', () => {
  it('may be a folder of files, or a .gltf with its buffer beside it', async () => {
    const heron = buildGlb('heron');
    const cwd = tempFolder({
      'class/a/deep/heron.glb': heron,
      'class/a/deep/feathers.png': 'p',
      'class/a/read me.txt': 't',
      'class/a/mule.glb': buildGlb('mule', { faults: [faultNamed('backward-loin')] }),
    });
    for (const [name, bytes] of build('mule', { container: 'gltf-external' }).files)
      writeFileSync(join(cwd, 'class', name), bytes);
    const { code } = await gradeLine(cwd, ['class']);
    const rows = gradebook(cwd);
    expect([code, rows.map(({ submission, files, look }) => [submission, files, look])]).toEqual([
      0,
      [
        ['a', '2', ''],
        ['mule.gltf', '1', ''],
      ],
    ]);
    const text = readFileSync(join(cwd, 'grades/feedback/a.md'), 'utf8');
    expect(text).toContain('in `a/mule.glb`');
  });

  it('is listed for a look with a reason when it is no rig in glTF, never graded 0', async () => {
    const noSkin = faults.find(({ rule }) => rule === 'file.no-skin');
    const bare =
      noSkin === undefined ? new Uint8Array() : buildGlb(noSkin.puppet, { faults: [noSkin] });
    const cwd = tempFolder({
      'class/archive.zip': 'PK',
      'class/bare.glb': bare,
      'class/half/heron.glb': buildGlb('heron'),
      'class/half/cut.glb': buildGlb('mule').slice(0, 3000),
      'class/letter.txt': 'dear teacher',
      'class/no ending': 'x',
      'class/scene.puppet': 'x',
      'class/.hidden': 'x',
      'class/__MACOSX/half/cut.glb': 'x',
    });
    mkdirSync(join(cwd, 'class/empty'));
    symlinkSync(join(cwd, 'class/half/heron.glb'), join(cwd, 'class/link.glb'));
    const { code, stdout } = await gradeLine(cwd, ['class']);
    expect(code).toBe(3);
    expect(
      gradebook(cwd).map(({ submission, points, axis, look }) => [submission, points, axis, look]),
    ).toEqual([
      ['archive.zip', '', '', 'a .zip file is packed; unpack it and hand in its contents'],
      ['bare.glb', '', '', 'bare.glb has no rig: no mesh in it has a skin'],
      ['empty', '', '', 'the folder has no .glb, .gltf or .vrm file'],
      [
        'half',
        '',
        '',
        expect.stringMatching(/^half\/cut\.glb cannot be read: the GLB header says/),
      ],
      ['letter.txt', '', '', 'a .txt file is not glTF; hand in a .glb, .gltf or .vrm file'],
      [
        'link.glb',
        '',
        '',
        'it is a link, and links are not followed; hand in the file or folder itself',
      ],
      [
        'no ending',
        '',
        '',
        'a file without an ending is not glTF; hand in a .glb, .gltf or .vrm file',
      ],
      ['scene.puppet', '', '', 'a .puppet file is not glTF; hand in a .glb, .gltf or .vrm file'],
    ]);
    expect(stdout).toContain('For a person to look at (8):');
  });

  it('is told within the width of the terminal, and in whole rows without one', async () => {
    const faulty = buildGlb('mule', { faults: [faultNamed('backward-loin')] });
    const cwd = tempFolder({
      'class/submission-01-mule-for-the-lantern.glb': faulty,
      'class/submission-02.zip': 'PK',
    });
    const wide = await gradeLine(cwd, ['class'], { columns: 60 });
    const lines = wide.stdout.split('\n');
    expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(60);
    expect(wide.stdout).toContain('\n    ');
    const piped = await gradeLine(cwd, ['class', '--replace']);
    expect(piped.stdout).toMatch(
      /^submission-01\S+ +\d+\.\d {2}B {6}a .*\(\S+, \d+ of \d+ joints\)$/m,
    );
  });

  it('may have any name that a file system allows', async () => {
    const heron = buildGlb('heron');
    const names = [
      '=cmd|x',
      'two\nlines',
      '+..%2fmule',
      '🏮',
      'Nul',
      'MULE',
      'mule',
      '-o',
      'a[b]{c}*',
      'n'.repeat(250),
    ];
    const cwd = tempFolder(
      Object.fromEntries(names.map((name) => [`class/${name}/heron.glb`, heron])),
    );
    const { code, stdout } = await gradeLine(cwd, ['class']);
    expect(code).toBe(0);
    expect(stdout).toContain('two\\u000alines');
    expect(stdout).not.toMatch(/^lines/m);
    const rows = gradebook(cwd);
    expect(rows).toHaveLength(names.length);
    const files = rows.map(({ feedback }) => feedback ?? '');
    expect(new Set(files.map((name) => name.toLowerCase())).size).toBe(names.length);
    expect(files.map((name) => name.slice('feedback/'.length)).sort()).toEqual(
      readdirSync(join(cwd, 'grades/feedback')).sort(),
    );
    for (const { submission, points } of rows) {
      expect(points).toBe('100');
      expect(submission).not.toMatch(/^[=+\-@]|\n/);
    }
  });

  it('is neither called empty nor mixed up where its name keeps it from being searched', async () => {
    const heron = buildGlb('heron');
    const cwd = tempFolder({ 'class/a\\b/heron.glb': heron, 'class/a/b/heron.glb': heron });
    const { code } = await gradeLine(cwd, ['class']);
    expect([code, ...gradebook(cwd).map(({ look }) => look)]).toEqual([
      3,
      '',
      'its path has a backslash and cannot be searched; give the folder another name',
    ]);
  });

  it('is the whole of it: a standard, a cache and the grades are no submissions', async () => {
    const cwd = tempFolder({
      'heron.glb': buildGlb('heron'),
      'trysquare.json': '{}',
      'house.json': '{}',
    });
    const args = ['.', '--standard', 'house.json', '--cache', 'kept', '--replace'];
    for (let time = 0; time < 2; time++) {
      const { code } = await gradeLine(cwd, args);
      expect([code, gradebook(cwd).map(({ submission }) => submission)]).toEqual([
        0,
        ['heron.glb'],
      ]);
    }
  });
});

it('grades of an earlier run, made from within the class, are no submission', async () => {
  const cwd = tempFolder({ 'class/heron.glb': buildGlb('heron') });
  expect((await gradeLine(join(cwd, 'class'), ['.'])).code).toBe(0);
  expect((await gradeLine(cwd, ['class'])).code).toBe(0);
  expect(gradebook(cwd).map(({ submission }) => submission)).toEqual(['heron.glb']);
  // Grades beside the submissions are none either, in the next run and in the one after it.
  const among = tempFolder({ 'class/heron.glb': buildGlb('heron') });
  for (const out of ['class', 'class', 'marks'])
    expect((await gradeLine(among, ['class', '-o', out, '--replace'])).code).toBe(0);
  expect(gradebook(among, 'marks').map(({ submission }) => submission)).toEqual(['heron.glb']);
  // A student's folder of that name is one.
  const other = tempFolder({ 'class/grades/heron.glb': buildGlb('heron') });
  expect((await gradeLine(other, ['class'])).code).toBe(0);
  expect(gradebook(other).map(({ submission }) => submission)).toEqual(['grades']);
  const odd = tempFolder({ 'class/grades/gradebook.csv': 'x', 'class/grades/feedback': 'x' });
  expect((await gradeLine(odd, ['class'])).code).toBe(3);
  expect(gradebook(odd).map(({ submission }) => submission)).toEqual(['grades']);
});

// Where nothing can be made in a folder that is there.
it.runIf(process.platform === 'linux')(
  'a place for grades that takes none is told at once',
  async () => {
    const cwd = tempFolder({ 'class/heron.glb': buildGlb('heron') });
    await expect(gradeLine(cwd, ['class', '-o', '/proc/grades'])).rejects.toThrow(
      'the folder /proc/grades cannot be created',
    );
  },
);

// Other systems keep no such names.
it.runIf(process.platform === 'linux')('a name that is not UTF-8 is told as such', async () => {
  const cwd = tempFolder({ 'class/heron.glb': buildGlb('heron') });
  writeFileSync(Buffer.from(`${cwd}/class/mule\xff.glb`, 'latin1'), buildGlb('mule'));
  expect((await gradeLine(cwd, ['class'])).code).toBe(3);
  const [, row] = gradebook(cwd);
  expect(row?.look).toContain('its name is not valid UTF-8; rename it');
});

describe('near copies', () => {
  it('are pointed out to the teacher in neutral words, and not to the students', async () => {
    const bent = { faults: [faultNamed('bent-elbow')] };
    const other = {
      unitScale: 100,
      convention: { aim: '+X', up: '+Y', mirror: 'negate-all' },
    } as const;
    const cwd = tempFolder({
      'class/submission-01.glb': buildGlb('marionette'),
      'class/submission-02.glb': buildGlb('marionette'),
      'class/submission-03.glb': buildGlb('marionette', other),
      'class/submission-04.glb': buildGlb('marionette', bent),
      'class/submission-05.glb': buildGlb('heron'),
    });
    const { stdout } = await gradeLine(cwd, ['class']);
    expect(gradebook(cwd).map((row) => row['similar to'])).toEqual([
      'submission-02.glb; submission-03.glb; submission-04.glb',
      'submission-01.glb; submission-03.glb; submission-04.glb',
      'submission-01.glb; submission-02.glb; submission-04.glb',
      'submission-01.glb; submission-02.glb; submission-03.glb',
      '',
    ]);
    expect(stdout).toContain(
      'The same file, byte for byte (a shared starting file also looks like this):\n  submission-01.glb, submission-02.glb\n\n',
    );
    expect(stdout).toContain(
      'Same joints and weights (a shared starting file also looks like this):\n  submission-01.glb, submission-02.glb, submission-03.glb, submission-04.glb\n',
    );
    for (const at of [1, 2, 3, 4]) {
      const text = readFileSync(join(cwd, `grades/feedback/${named(at, '.glb.md')}`), 'utf8');
      expect(text.match(/submission-\d\d/g)).toEqual([named(at)]);
      expect(text).not.toMatch(/similar|copy|copies|same joints/);
    }
  });
});

describe('the same file', () => {
  const words = 'The same file, byte for byte';

  it('is told as such, once, also where it cannot be read, and not of animals of one submission', async () => {
    const cwd = tempFolder({
      'trysquare.json': '{ "submissions": { "rigs": "apart" } }',
      'class/submission-01/heron.glb': buildGlb('heron'),
      'class/submission-01/mule.glb': buildGlb('mule'),
      'class/submission-02/mule.glb': buildGlb('mule'),
      'class/submission-02/wader.glb': buildGlb('heron'),
      'class/submission-03/heron.glb': buildGlb('heron'),
      'class/submission-03/again.glb': buildGlb('heron', { unitScale: 100 }),
      'class/submission-04.glb': 'glTF',
      'class/submission-05.glb': 'glTF',
    });
    const { stdout } = await gradeLine(cwd, ['class']);
    const [, told = ''] = stdout.split(words);
    const [same = '', near = ''] = told.split('Same joints and weights');
    expect(same.split('\n').slice(1)).toEqual([
      '  submission-01, submission-02',
      '  submission-04.glb, submission-05.glb',
      ...['', ''],
    ]);
    const herons = ['1: heron', '2: wader', '3: again', '3: heron'].map(
      (at) => `submission-0${at}`,
    );
    expect(near.replace(/\s+/g, ' ')).toContain(`: ${herons.join(', ')} `);
    expect(near).not.toContain('submission-01: mule, submission-02: mule');
  }, 30_000);

  it('is not told of what is alike but for a byte', async () => {
    const bytes = buildGlb('heron');
    const other = Buffer.from(bytes);
    other[other.length - 1] = (other[other.length - 1] ?? 0) ^ 1;
    const cwd = tempFolder({ 'class/a.glb': bytes, 'class/b.glb': other });
    const { stdout } = await gradeLine(cwd, ['class']);
    expect(stdout).not.toContain(words);
    expect(stdout).toContain('Same joints and weights');
  });
});

describe('a standard', () => {
  it('gives the points and what faults cost, and its levels count and switch off', async () => {
    const cwd = tempFolder({
      'class/heron.glb': buildGlb('marionette', { faults: [faultNamed('bent-elbow')] }),
      'trysquare.json':
        '{ "points": { "rest": 20, "motion": 5 }, "levels": { "rest.mesh": "none", "rest.centred": "none", "rest.bind": "error", "motion.collapse": "none" }, "grading": { "error": "60 %", "unsound": 0.35 } }',
    });
    const { code } = await gradeLine(cwd, ['class']);
    const [row] = gradebook(cwd);
    const text = readFileSync(join(cwd, 'grades/feedback/heron.glb.md'), 'utf8');
    // 20 x 60 % = 12 leaves 8; 8 x 25 / 20 = 10. An unsound rig gets 8.75 at most, rounded down.
    expect(text).toContain('| 1 joint with an error | 20 × 60 % = 12 | 8.0 | 20 |');
    expect([code, row?.rest, row?.points, row?.of, row?.['out of 25'], row?.motion]).toEqual([
      0,
      '8',
      '8',
      '20',
      '8.7',
      '',
    ]);
    expect(Object.keys(row ?? {})).toEqual(
      'submission,points,of,out of 25,verdict,rest,motion,errors,warnings,notes,files,look,similar to,feedback,grade'.split(
        ',',
      ),
    );
    expect(text).toContain('No rule of `motion` applies here (its rules are switched off).');
    expect(text).toContain('Earned 8.0 of 20 possible: 8.0 × 25 / 20 = 10.0 of 25.');
    expect(text).toContain('An unsound rig gets 8.7 of 25 at most, so 10.0 become 8.7.');
  });

  it('is told not to be followed where it names approved rigs', async () => {
    const cwd = tempFolder({
      'class/submission-01.glb': 'x',
      'trysquare.json': '{ "approved": { "**/*.glb": "model.glb" } }',
    });
    const { stderr } = await gradeLine(cwd, ['class']);
    expect(stderr).toContain(
      'trysquare.json names approved rigs; grading does not compare with these: give the model of the class with --like, or compare with "trysquare check"',
    );
  });

  it('is left aside with --no-standard, and refused when it is wrong', async () => {
    const cwd = tempFolder({
      'class/heron.glb': buildGlb('heron'),
      'trysquare.json': '{ "points": { "axes": 20 } }',
    });
    await expect(gradeLine(cwd, ['class'])).rejects.toThrow('Did you mean "axis"?');
    expect((await gradeLine(cwd, ['class', '--no-standard'])).code).toBe(0);
    expect(gradebook(cwd)[0]?.of).toBe('100');
  });
});

describe('the folder of the grades', () => {
  it('is not written over unless asked, and nothing else in it is touched', async () => {
    const cwd = tempFolder({ 'class/heron.glb': buildGlb('heron') });
    await gradeLine(cwd, ['class', '--out', 'a/b']);
    writeFileSync(join(cwd, 'a/b/mine.txt'), 'mine');
    writeFileSync(join(cwd, 'a/b/feedback/older.md'), 'older');
    writeFileSync(join(cwd, 'a/b/gradebook.csv'), 'edited');
    await expect(gradeLine(cwd, ['class', '--out', 'a/b'])).rejects.toThrow(
      'a/b has a gradebook already; add --replace',
    );
    expect(readFileSync(join(cwd, 'a/b/gradebook.csv'), 'utf8')).toBe('edited');
    const { stderr } = await gradeLine(cwd, ['class', '--out', 'a/b', '--replace']);
    expect(stderr).toBe(
      'trysquare: 1 file in a/b/feedback is not from this run and was not changed\n',
    );
    expect(gradebook(cwd, 'a/b')).toHaveLength(1);
    expect(readFileSync(join(cwd, 'a/b/mine.txt'), 'utf8')).toBe('mine');
    expect(readFileSync(join(cwd, 'a/b/feedback/older.md'), 'utf8')).toBe('older');
    rmSync(join(cwd, 'a/b/gradebook.csv'));
    await expect(gradeLine(cwd, ['class', '--out', 'a/b'])).rejects.toThrow(
      'a/b has feedback already',
    );
  });

  it.each([
    [
      'no folder',
      ['nowhere'],
      'there is no folder nowhere; name the folder that contains the submissions',
    ],
    [
      'a file',
      ['class/grades/heron.glb'],
      'is a file; name the folder that contains the submissions',
    ],
    [
      'an empty folder',
      ['empty'],
      'empty has no submission in it; put a file or a folder into it for each, or name the folder',
    ],
    ['grades into a submission', ['class', '-o', 'class/grades'], 'could be a submission'],
    ['grades into a file', ['class', '-o', 'class/grades/heron.glb'], 'is not a folder'],
    [
      'grades through a file',
      ['class', '-o', 'class/grades/heron.glb/x'],
      'class/grades/heron.glb/x',
    ],
    ['grades through a link', ['class', '-o', 'link'], 'link exists already and is not a folder'],
    ['grades deep in the class', ['class', '-o', 'class/marks/1'], 'could be a submission'],
    ['grades without a name', ['class', '-o', ''], '--out has to name a folder'],
    ['no name', [''], 'name the folder that contains the submissions'],
  ])('or of the class is refused in one line: %s', async (_, args, words) => {
    const cwd = tempFolder({ 'class/grades/heron.glb': buildGlb('heron') });
    mkdirSync(join(cwd, 'empty'));
    symlinkSync(join(cwd, 'empty'), join(cwd, 'link'));
    const run = gradeLine(cwd, args);
    await expect(run).rejects.toThrow(UsageError);
    await expect(run).rejects.toThrow(words);
    expect(readdirSync(cwd).sort()).toEqual(['class', 'empty', 'link']);
  });

  it.each([
    ['nope', 'there is no folder nope'],
    ['empty', 'empty has no submission'],
  ])('with an old gradebook comes after the folder of the class: %s', async (folder, words) => {
    const cwd = tempFolder({ 'grades/gradebook.csv': 'older' });
    mkdirSync(join(cwd, 'empty'));
    await expect(gradeLine(cwd, [folder])).rejects.toThrow(words);
    expect(readFileSync(join(cwd, 'grades/gradebook.csv'), 'utf8')).toBe('older');
  });

  it('is not begun when the user stops the run', async () => {
    const cwd = tempFolder({
      'class/heron.glb': buildGlb('heron'),
      'class/mule.glb': buildGlb('mule'),
    });
    const onStop = (stop: () => void): void => stop();
    const { code, stdout, stderr } = await gradeLine(cwd, ['class'], { onStop });
    expect([code, stdout]).toEqual([130, '']);
    expect(stderr).toContain('the run was stopped; no gradebook and no feedback was written');
    expect(statSync(join(cwd, 'grades'), { throwIfNoEntry: false })).toBeUndefined();
  });
});

it('the help tells what faults cost, and takes no shares of a class', async () => {
  const help = (await helpText()).replace(/\s+/g, ' ');
  const { bands, error, warnings, notes, unsound } = DEFAULT_GRADING;
  const [few, many] = bands;
  expect([few?.costs, many?.costs, error, warnings, notes]).toEqual(['1/2', 1, 1, 1, 0]);
  expect(help).toContain(
    `loses half of them for warnings at 1 to ${(many?.from ?? 0) - 1} joints, and all of them for warnings at ${many?.from} or more or for one error. Notes cost nothing.`,
  );
  expect(help).toContain(`An unsound rig gets ${unsound} of all points at most.`);
  const steps = DEFAULT_GRADES.map(({ name, from }) => `${name} from ${from}`).join(', ');
  expect(help).toContain(`Points are given as grades, too: ${steps}.`);
  expect(help).toContain('--workers <n>');
  expect(help).not.toContain('--part');
});

async function helpText(): Promise<string> {
  const { Command } = await import('commander');
  const { addGrade } = await import('../../src/cli/grade/grade-options.js');
  const { processIo } = await import('../../src/cli/io.js');
  let text = '';
  const program = new Command().exitOverride().configureOutput({
    writeOut: (part) => {
      text += part;
    },
  });
  addGrade(program, processIo(), () => undefined);
  await program.parseAsync(['grade', '--help'], { from: 'user' }).catch(() => undefined);
  return text;
}
