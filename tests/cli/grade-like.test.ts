import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { gradeLine } from '../grade/run-grade.js';
import { classmate, leaveOut, moveJoint, renameAll, TAIL } from '../support/classmate.js';
import { type CliRun, runCli } from '../support/run-cli.js';
import { tempFolder, writeFiles } from '../support/temp-folder.js';
import { together } from './compare/candidates.js';

type Cells = Readonly<Record<string, string>>;

const heron = buildGlb('heron');

const CLASS = {
  'class/submission-01.glb': heron,
  'class/submission-02.glb': classmate(leaveOut('body', ...TAIL)),
  'class/submission-03.glb': classmate(moveJoint('shin_L', [0, 0.04, 0])),
  'class/submission-04.glb': classmate(renameAll),
  'class/submission-05.glb': buildGlb('mule'),
};

function bookAt(cwd: string, out = 'grades'): Cells[] {
  return parse(readFileSync(join(cwd, out, 'gradebook.csv')), { columns: true });
}

describe('a class that rigs one model', () => {
  let cwd: string;
  let graded: CliRun;
  beforeAll(async () => {
    cwd = mkdtempSync(join(tmpdir(), 'trysquare-'));
    writeFiles(cwd, { ...CLASS, 'model/heron.glb': heron, 'viewer.js': '// the viewer' });
    graded = await runCli(['grade', 'class', '--like', 'model/heron.glb', '--pages'], {
      cwd,
      pageScript: join(cwd, 'viewer.js'),
    });
    return () => rmSync(cwd, { recursive: true, force: true });
  });
  const read = (name: string): string => readFileSync(join(cwd, 'grades', name), 'utf8');
  const modelPart = (name: string): string =>
    /## Against the model\n\n(.*?)\n\n## /s.exec(read(`feedback/${name}.md`))?.[1] ?? '';

  it('loses points of fit for missing chains and joints out of place, and none for names', () => {
    expect([graded.code, graded.stderr]).toEqual([0, '']);
    const points = bookAt(cwd).map(({ submission, fit, of, verdict }) => [
      submission,
      fit,
      of,
      verdict,
    ]);
    expect(points).toEqual([
      ['submission-01.glb', '15', '100', 'sound'],
      // 15 - 15 x 1/2, for three joints and for one
      ['submission-02.glb', '7.5', '100', 'sound'],
      ['submission-03.glb', '7.5', '100', 'sound'],
      ['submission-04.glb', '15', '100', 'sound'],
      // It has another mesh, which costs nothing until a person looked.
      ['submission-05.glb', '', '85', 'sound'],
    ]);
    expect(graded.stdout).toContain(
      'submission-05.glb: it was not compared with model/heron.glb: no rig in it\n    has the mesh of the model',
    );
    expect(graded.stdout).toContain('joints missing or elsewhere than in the model (3)');
  });

  it('is told in the feedback, with numbers', () => {
    expect(modelPart('submission-01.glb')).toMatchInlineSnapshot(`
      "The model \`model/heron.glb\` was laid over this rig, mesh on mesh. Joints count by their place: names do not matter here.

      For this, \`fit\` loses none of its 15 points.

      All 28 joints of the model are in place (limit 1 % of the model's size)."
    `);
    expect(modelPart('submission-02.glb')).toMatchInlineSnapshot(`
      "The model \`model/heron.glb\` was laid over this rig, mesh on mesh. Joints count by their place: names do not matter here.

      For this, \`fit\` loses 7.5 of its 15 points: 3 joints at fault, each with an error. One error costs no more than a warning here.

      25 of 28 joints of the model are in place (limit 1 % of the model's size).

      - **error**: 3 joints of the model are missing: \`tail_root\`, \`tail_mid\`, \`tail_tip\`. Build this chain where the model has it."
    `);
    expect(modelPart('submission-03.glb')).toMatchInlineSnapshot(`
      "The model \`model/heron.glb\` was laid over this rig, mesh on mesh. Joints count by their place: names do not matter here.

      For this, \`fit\` loses 7.5 of its 15 points: 1 joint at fault.

      27 of 28 joints of the model are in place (limit 1 % of the model's size).

      - **warning**: \`shin_L\` is 2.29 % of the model's size (0.04 m) from the place of \`shin_L\` in the model (limit 1 %). Move it there, and leave the mesh as it is."
    `);
  });

  it('is drawn: the model under the joints of the rig, with a square where one is not', () => {
    const page = read('feedback/submission-02.glb.html');
    expect(page).toContain('<h2>Against the model</h2>');
    expect(page).toContain('class="drawing-approved-joint"');
    expect(page).toContain('Dashed: the joints of the model.');
    const same = read('feedback/submission-01.glb.html');
    expect(same).toContain('class="drawing-approved"');
    expect(same).not.toContain('class="drawing-approved-joint"');
    expect(read('feedback/submission-05.glb.html')).not.toContain('class="drawing-approved"');
    const whole = read('pages/submission-02.glb.html');
    expect(whole).toContain('the rig of the model model/heron.glb as it was bound');
    expect(whole).not.toContain('approved rig as it was bound');
  });
});

describe('a model of several rigs', () => {
  const run = async (standard: string) => {
    const [mule, tailless] = [buildGlb('mule'), classmate(leaveOut('body', ...TAIL))];
    const cwd = tempFolder({
      'trysquare.json': standard,
      'model.glb': await together(heron, mule),
      'class/a.glb': heron,
      // Two of one mesh: neither is passed over for the other.
      'class/b.glb': await together(tailless, heron, mule),
      'class/c/mule.glb': mule,
      'class/c/other.glb': buildGlb('stag-beetle'),
    });
    const { code, stderr } = await gradeLine(cwd, ['class', '--like', 'model.glb']);
    expect(stderr).toContain('has 2 rigs: each submission is compared with all of them');
    const rows = bookAt(cwd).map(({ submission, fit, look }) => [submission, fit, look]);
    const read = (name: string) => readFileSync(join(cwd, `grades/feedback/${name}.md`), 'utf8');
    return { code, rows, read };
  };

  it('is compared with each rig of a submission, and a missing one costs points', async () => {
    const { code, rows, read } = await run('{}');
    expect([code, ...rows]).toEqual([0, ['a.glb', '0', ''], ['b.glb', '7.5', ''], ['c', '0', '']]);
    expect(read('a.glb')).toContain('In `a.glb`, rig `body`: All 28 joints');
    expect(read('b.glb')).toContain('In `b.glb`, rig `body`: 25 of 28 joints');
    expect(read('b.glb')).toContain('In `b.glb`, rig `body[2]`: All 28 joints');
  });

  it('has a row for a rig that was not handed in, where rigs are marked apart', async () => {
    const { code, rows, read } = await run('{ "submissions": { "rigs": "apart" } }');
    const gone =
      'the rig "trunk" of model.glb was not handed in: no rig of this submission has its mesh';
    expect([code, ...rows]).toEqual([
      3,
      ['a.glb', '15', ''],
      ['a.glb: trunk', '', gone],
      ['b.glb: body', '7.5', ''],
      ['b.glb: body[2]', '15', ''],
      ['b.glb: trunk', '15', ''],
      ['c: mule', '15', ''],
      // It may be the one that is missing.
      [
        'c: other',
        '',
        'it was not compared with model.glb: no rig in it has the mesh of the model',
      ],
    ]);
    expect(read('a.glb-trunk')).toContain('the rig `trunk` of `model.glb` was not handed in');
  });
});

describe('the model of a class', () => {
  const run = (cwd: string, ...args: string[]) => gradeLine(cwd, ['class', ...args]);
  const one = { 'class/submission-01.glb': heron };

  it('can be unsound: that is said once, and costs the class nothing', async () => {
    const unsound = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });
    const cwd = tempFolder({
      ...one,
      'class/submission-02.glb': classmate(renameAll),
      'model.glb': unsound,
    });
    const { code, stderr } = await run(cwd, '--like', 'model.glb');
    expect([code, stderr]).toEqual([
      0,
      'trysquare: the model model.glb is itself unsound: 1 error, 0 warnings, 0 notes (axis.up). Submissions are compared with it all the same, and its faults do not count for them; "trysquare check" tells more\n',
    ]);
    expect(bookAt(cwd).map(({ fit }) => fit)).toEqual(['15', '15']);
  });

  it('is no submission where it lies among them, and can be named by the standard', async () => {
    const cwd = tempFolder({
      ...one,
      'class/model.glb': heron,
      'trysquare.json': '{ "submissions": { "like": "class/model.glb" } }',
    });
    await run(cwd);
    expect(bookAt(cwd).map(({ submission, fit }) => [submission, fit])).toEqual([
      ['submission-01.glb', '15'],
    ]);
  });

  it('costs what the standard says: its points, limit and levels', async () => {
    const standard = {
      points: { axis: 80, fit: 20 },
      limits: { 'fit.length': { place: 3 } },
      levels: { 'fit.missing': 'warning' },
    };
    const cwd = tempFolder({ ...CLASS, 'model.glb': heron });
    writeFileSync(join(cwd, 'trysquare.json'), JSON.stringify(standard));
    await run(cwd, '--like', 'model.glb');
    // 20 - 20 x 1/2 for the tail; 2.3 % is within the limit.
    const points = bookAt(cwd).map(({ fit }) => fit);
    expect(points).toEqual(['20', '10', '20', '20', '']);
    writeFiles(cwd, { 'trysquare.json': '{ "points": { "axis": 100 } }' });
    const { stderr } = await run(cwd, '--like', 'model.glb', '--replace');
    expect(stderr).toBe(
      'trysquare: the standard trysquare.json gives no points to "fit", so being unlike the model costs none; give it some under "points"\n',
    );
    expect(readFileSync(join(cwd, 'grades/feedback/submission-02.glb.md'), 'utf8')).toContain(
      'Costs no points, because the family `fit` has no points here.',
    );
  });

  it.each([
    ['missing.glb', 'the model missing.glb cannot be read: '],
    ['broken.glb', 'the model broken.glb cannot be read: '],
    ['plain.glb', 'the model plain.glb has no rig: no mesh in it has a skin'],
    ['class', 'the model class is a folder; name the file with the rig of the model'],
  ])('is refused in one line where it is %s', async (name, message) => {
    const cwd = tempFolder({
      ...one,
      'broken.glb': heron.slice(0, 4000),
      'plain.glb': buildGlb('heron', { faults: [faultNamed('statue')] }),
    });
    await expect(run(cwd, '--like', name)).rejects.toThrow(message);
  });
});
