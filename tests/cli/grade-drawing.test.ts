import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { placeJoints } from '../../src/report/places.js';
import { readSvg } from '../draw/drawn.js';
import { runCli } from '../support/run-cli.js';
import { writeFiles } from '../support/temp-folder.js';
import { together } from './compare/candidates.js';

const FAULTS = [
  'holders-that-nearly-cancel',
  'flipped-shin',
  'crooked-neck',
  'turned-beak-tip',
  'nameless-neck',
  'sides-in-two-ways',
];
const heron = buildGlb('heron', { faults: FAULTS.map(faultNamed) });
const other = buildGlb('heron', { faults: ['turned-beak-tip', 'rolled-neck'].map(faultNamed) });

/** Numbers by the names of joints, each with its least number first. */
type Marks = Readonly<Record<string, readonly number[]>>;

describe('the numbers in the drawings of a feedback, of rigs with several faults', () => {
  let cwd: string;
  beforeAll(async () => {
    cwd = mkdtempSync(join(tmpdir(), 'trysquare-'));
    writeFiles(cwd, {
      'class/submission-01.glb': heron,
      'class/submission-02/a.glb': other,
      'class/submission-02/b.glb': heron,
      'apart/trysquare.json': '{ "submissions": { "rigs": "apart" } }',
      'apart/class/troupe.glb': await together(other, heron),
      'viewer.js': '// the viewer',
    });
    for (const folder of ['.', 'apart']) {
      const args = ['grade', 'class', '--pages'];
      const options = { cwd: join(cwd, folder), pageScript: join(cwd, 'viewer.js') };
      const run = await runCli(args, options);
      expect([run.code, run.stderr]).toEqual([0, '']);
    }
    return () => rmSync(cwd, { recursive: true, force: true });
  });

  const feedback = (name: string): string =>
    readFileSync(join(cwd, name.replace(/[^/]+$/, 'grades/feedback/$&.html')), 'utf8');

  it('are those of the list of what to fix', async () => {
    await expectOneOrder(feedback('submission-01.glb'), [heron]);
  });

  it('are those of one list, where several files were handed in', async () => {
    await expectOneOrder(feedback('submission-02'), [other, heron]);
  });

  it('are those of its own list, where a rig of a file is marked apart', async () => {
    const troupe = await together(other, heron);
    await expectOneOrder(feedback('apart/troupe.glb-body'), [troupe], 1);
    await expectOneOrder(feedback('apart/troupe.glb-cart-stage-body'), [troupe], 0);
  });

  it('leave those of the page of a rig as they were, in the order of its findings', () => {
    const page = readFileSync(join(cwd, 'grades/pages/submission-01.glb.html'), 'utf8');
    const [sheet = ''] = /<svg class="drawing drawing-sheet".*?<\/svg>/s.exec(page) ?? [];
    const findings = [...page.matchAll(/id="finding-(\d+)"/g)].map(([, number]) => Number(number));
    const drawn = numbersIn(sheet);
    expect(new Set(drawn)).toEqual(new Set(findings));
  });
});

/**
 * Compares list, drawings and the legends below them.
 *
 * @param rig Which rig of each asset is drawn.
 */
async function expectOneOrder(html: string, assets: readonly Uint8Array[], rig = 0): Promise<void> {
  const list = listOf(html);
  expect(list.size).toBeGreaterThan(1);
  const figures = html.match(/<figure class="drawn">.*?<\/figure>/gs) ?? [];
  expect(figures.length).toBe(assets.length);
  for (const [at, bytes] of assets.entries()) {
    const { names, marks } = await expectedOf(bytes, rig, list);
    const figure = figures[at] ?? '';
    expect(drawnMarks(figure, names)).toEqual(marks);
    expect(legendOf(figure)).toEqual(
      [...list].flatMap(([rule, number]) => {
        const joints = names.filter((joint) => marks[joint]?.includes(number));
        return joints.length === 0 ? [] : [{ number, rule, joints: joints.length }];
      }),
    );
  }
}

/** Numbers of the list by its rules. */
function listOf(html: string): Map<string, number> {
  const [, fixes = ''] = /<section class="fixes">(.*?)<\/section>/s.exec(html) ?? [];
  const shown = [...fixes.matchAll(/<h3>(\d+)\. [^\n]*?<code>([\w.]+)<\/code>\)<\/h3>/g)];
  const list = new Map(shown.map(([, number = '', rule = '']) => [rule, Number(number)]));
  const [, start = '0', rest = ''] =
    /<ol start="(\d+)" class="rest">(.*?)<\/ol>/s.exec(fixes) ?? [];
  for (const [at, [, rule = '']] of [...rest.matchAll(/<code>([\w.]+)<\/code>\)<\/li>/g)].entries())
    list.set(rule, Number(start) + at);
  return list;
}

/** What has to be marked at each joint: the numbers of all rules that found something there. */
async function expectedOf(bytes: Uint8Array, at: number, list: ReadonlyMap<string, number>) {
  const settings = defaultSettings(rules);
  const { findings, rigs } = await checkAssetBytes(bytes, { settings, name: 'heron.glb' });
  const names = (rigs[at]?.joints ?? []).map(({ name }) => name);
  const sets = new Map<string, Set<number>>();
  for (const finding of findings.filter(({ rig }) => rig === at))
    for (const joint of placeJoints(finding)) {
      const name = names[joint] ?? '?';
      sets.set(name, (sets.get(name) ?? new Set()).add(list.get(finding.rule) ?? Number.NaN));
    }
  const marks: Marks = Object.fromEntries(
    [...sets].map(([name, set]) => [name, [...set].sort((a, b) => a - b)]),
  );
  return { names, marks };
}

/** Badges by the joints that their leaders lead to. */
function drawnMarks(figure: string, names: readonly string[]): Marks {
  const elements = readSvg(/<svg.*<\/svg>/s.exec(figure)?.[0] ?? '');
  const having = (look: string) =>
    elements.filter(({ attributes }) => attributes.class?.split(' ').includes(look) === true);
  const leaders = having('drawing-leader');
  const numbers = having('drawing-number').map(({ text }) => text.split(', ').map(Number));
  expect(numbers.length).toBe(leaders.length);
  const dots = having('drawing-joint');
  return Object.fromEntries(
    leaders.map(({ attributes: { x2, y2 } }, at) => {
      const dot = dots.find(({ attributes: { cx, cy } }) => cx === x2 && cy === y2);
      return [names[Number(dot?.attributes['data-joint'])] ?? '?', numbers[at] ?? []];
    }),
  );
}

function numbersIn(svg: string): number[] {
  return readSvg(svg)
    .filter(({ attributes }) => attributes.class === 'drawing-number')
    .flatMap(({ text }) => text.split(', ').map(Number));
}

/** Lines below a drawing, with how many joints each of them tells of. */
function legendOf(figure: string) {
  const lines = figure.matchAll(
    /<li><span class="number">(\d+)<\/span> (.*?) <code>([\w.]+)<\/code><\/li>/g,
  );
  return [...lines].map(([, number = '', words = '', rule = '']) => {
    const [, named = words, more = '0'] = /^(.*) and (\d+) more$/.exec(words) ?? [];
    return { number: Number(number), rule, joints: named.split(', ').length + Number(more) };
  });
}
