import { existsSync, mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { text } from '../../src/page/markup.js';
import { limitWords } from '../../src/report/limit-words.js';
import { built } from '../support/built.js';
import { PROPS } from '../support/own-modules.js';
import { type CliRun, runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

/** Runs the command here, with the parts of it that only a build makes. */
function run(cwd: string, ...args: string[]): Promise<CliRun> {
  return runCli(args, { cwd, pageScript: join(built.folder, 'dist/page.js') });
}

/** Bytes of the whole handbook. */
const MOST = 4_000_000;

const entryOf = (page: string, id: string): string =>
  new RegExp(`<article class="entry" id="${id}"[\\s\\S]*?</article>`).exec(page)?.[0] ?? '';

describe('the handbook', () => {
  let cwd = '';
  let page = '';
  let told: CliRun;
  beforeAll(async () => {
    cwd = mkdtempSync(join(tmpdir(), 'trysquare-'));
    told = await run(cwd, 'rules', '--out', 'handbook.html');
    page = readFileSync(join(cwd, 'handbook.html'), 'utf8');
    return () => rmSync(cwd, { recursive: true, force: true });
  });

  it('is one file, under 4 MB', () => {
    expect([told.code, told.stdout, told.stderr]).toEqual([
      0,
      '',
      'trysquare: the handbook is handbook.html\n',
    ]);
    expect(statSync(join(cwd, 'handbook.html')).size).toBeLessThan(MOST);
    expect(page).not.toMatch(/(?:src|href)="(?!#)/);
  });

  it.each(rules)(
    'has $id with its why, measure, limit, source, steps and both drawings',
    (rule) => {
      const entry = entryOf(page, rule.id);
      const lacks = [
        text(rule.why),
        text(rule.formula),
        text(rule.source),
        ...Object.values(rule.limits).map((spec) => text(limitWords(spec, spec.default))),
      ].filter((words) => !entry.includes(words));
      expect(lacks).toEqual([]);
      expect(entry.match(/<li>/g)?.length).toBeGreaterThanOrEqual(2);
      const drawings = [...entry.matchAll(/<svg class="drawing[\s\S]*?<\/svg>/g)].map(
        ([svg]) => svg,
      );
      expect(drawings).toHaveLength(2);
      expect(drawings[0]).not.toBe(drawings[1]);
      expect(entry.includes('class="live"')).toBe(/^(axis|chain|motion)\./.test(rule.id));
    },
  );

  it('tells a rigger of the mends, and everybody what follows in the file', () => {
    expect(entryOf(page, 'axis.up')).toContain('trysquare mend rig.glb --only axis.up --dry-run');
    expect(entryOf(page, 'axis.up')).toContain('<a href="#in-the-file">');
    expect(page).toContain('id="in-the-file"');
  });

  it('begins with a course of six steps, each with a picture', () => {
    const [course = ''] = /<section id="course"[\s\S]*?<\/section>/.exec(page) ?? [];
    expect(course.match(/<li class="step">/g)).toHaveLength(6);
    expect(course.match(/<svg class="drawing/g)).toHaveLength(6);
    expect(page.indexOf(course)).toBeLessThan(page.indexOf('class="entry"'));
  });

  it('leads nowhere but into itself', () => {
    const ids = new Set([...page.matchAll(/ id="([^"]+)"/g)].map(([, id]) => id));
    const links = [...page.matchAll(/href="#([^"]+)"/g)].map(([, id = '']) => id);
    expect(links.length).toBeGreaterThan(rules.length);
    expect(links.filter((id) => !ids.has(id))).toEqual([]);
  });

  it('of one rule or a family has only that', async () => {
    await run(cwd, 'rules', 'axis.up', '--out', 'axis-up.html');
    await run(cwd, 'rules', 'chain', '--out', 'chain.html');
    const entries = (name: string): string[] =>
      [...readFileSync(join(cwd, name), 'utf8').matchAll(/class="entry" id="([^"]+)"/g)].map(
        ([, id = '']) => id,
      );
    expect(entries('axis-up.html')).toEqual(['axis.up']);
    expect(entries('chain.html')).toEqual(
      rules.filter(({ family }) => family === 'chain').map(({ id }) => id),
    );
    expect(statSync(join(cwd, 'axis-up.html')).size).toBeLessThan(page.length / 5);
  });

  it('shows the limits of a standard that is named or found, in steps too, and the default beside', async () => {
    const house = tempFolder({
      'trysquare.json': '{"limits":{"axis.up":{"warn":8,"error":30}}}',
      'other.json': '{"limits":{"axis.up":{"error":40}}}',
    });
    const entry = async (...args: string[]): Promise<string> => {
      await run(house, 'rules', 'axis.up', '--out', 'up.html', '--replace', ...args);
      return readFileSync(join(house, 'up.html'), 'utf8');
    };
    const found = await entry();
    expect(entryOf(found, 'axis.up')).toContain(
      '<strong>8°</strong> by the standard trysquare.json (default 5°)',
    );
    // What a standard sets to the default is the default.
    expect(entryOf(found, 'axis.up')).toContain('<strong>30°</strong></li>');
    expect(entryOf(found, 'axis.up')).toContain('Stop when less than 8° is left.');
    expect(found).toContain('Limits and levels are those of the standard trysquare.json;');
    // The rule that is asked for stands before what follows of it.
    expect(found.indexOf('class="entry" id="axis.up"')).toBeLessThan(
      found.indexOf('id="in-the-file"'),
    );
    const named = entryOf(await entry('--standard', 'other.json'), 'axis.up');
    expect(named).toContain('<strong>40°</strong> by the standard other.json (default 30°)');
    expect(named).toContain('<strong>5°</strong></li>');
    expect(await entry('--no-standard')).not.toContain('by the standard');
    const { stdout } = await run(house, 'rules', 'axis.up');
    expect(stdout).toContain('  warn: 8 degrees by the standard trysquare.json (default 5°) (');
    expect(stdout).toContain('  error: 30 degrees (');
  });

  it('shows the level that a standard gives to a rule or its family, and the default beside', async () => {
    const house = tempFolder({
      'trysquare.json': '{"levels":{"axis.up":"warning","name":"none","name.missing":"warning"}}',
    });
    await run(house, 'rules', '--out', 'all.html');
    const all = readFileSync(join(house, 'all.html'), 'utf8');
    const marks = ['axis.up', 'name.side', 'name.missing', 'axis.aim'].map(
      (id) =>
        /<p class="mark">(.*)<\/p>/.exec(entryOf(all, id))?.[1]?.replace(/<[^>]*>/g, '') ?? '',
    );
    expect(marks).toEqual([
      'axis.up warning by the standard trysquare.json (default error, warning or note)',
      'name.side switched off by the standard trysquare.json (default error, warning or note)',
      // What a standard sets to the default is the default.
      'name.missing warning',
      'axis.aim error warning',
    ]);
    const told = async (...args: string[]): Promise<string[]> =>
      (await run(house, 'rules', ...args)).stdout.split('\n').slice(1, 5);
    expect(await told('axis.up')).toEqual([
      'Finds',
      '  a joint rolled away from its segment (warning)',
      'Level',
      '  warning by the standard trysquare.json (default error, warning or note)',
    ]);
    expect((await told('name.default')).slice(2)).toEqual([
      'Level',
      '  switched off by the standard trysquare.json (default warning): it is not',
    ]);
    // A list is of the rules themselves, unless a standard is named.
    expect((await told('name'))[0]).toMatch(/^name\.duplicate +warning /);
    expect((await told('name', '--standard', 'trysquare.json'))[0]).toMatch(
      /^name\.duplicate +switched off /,
    );
  });

  it('explains a rule of the house, which has no drawing', async () => {
    const own = tempFolder({ 'props.mjs': PROPS });
    await run(own, 'rules', '--with', 'props.mjs', '--out', 'all.html');
    const all = readFileSync(join(own, 'all.html'), 'utf8');
    expect(entryOf(all, 'prop.joints')).toContain('It has no drawing here.');
  });

  it('is never written over unasked, and only to a page', async () => {
    const told = async (...args: string[]): Promise<string> => (await run(cwd, ...args)).stderr;
    expect(await told('rules', '--out', 'handbook.html')).toBe(
      'trysquare: handbook.html exists already; add --replace to overwrite it, or name another file\n',
    );
    expect((await run(cwd, 'rules', '--out', 'handbook.html', '--replace')).code).toBe(0);
    expect(await told('rules', '--out', 'handbook.txt')).toContain('give it the ending .html');
    expect(await told('rules', '--replace')).toContain('--replace goes with --out FILE');
    expect(await told('rules', 'axis.upp', '--out', 'new.html')).toContain(
      'Did you mean "axis.up"?',
    );
    expect(existsSync(join(cwd, 'new.html'))).toBe(false);
  });

  it('is not there in a copy that was not built', async () => {
    const { code, stderr } = await runCli(['rules', '--out', 'new.html'], { cwd });
    expect([code, stderr]).toEqual([
      2,
      'trysquare: this copy of trysquare has no handbook; build it with "npm run build"\n',
    ]);
  });
});

describe('what leads to the handbook', () => {
  it('is each fix in the feedback on a class, beside which it lies', async () => {
    const faults = ['flipped-shin', 'nameless-neck'].map(faultNamed);
    const folder = tempFolder({
      'class/submission-01.glb': buildGlb('heron', { faults }),
      'trysquare.json': '{"limits":{"axis.up":{"warn":8}}}',
    });
    const { stdout } = await run(folder, 'grade', 'class', '--pages');
    expect(stdout).toContain('Handbook: grades/handbook.html.');
    const read = (name: string): string => readFileSync(join(folder, 'grades', name), 'utf8');
    const handbook = read('handbook.html');
    // It has the limits that the class is graded by.
    expect(entryOf(handbook, 'axis.up')).toContain('8°</strong> by the standard trysquare.json');
    // Students mend by hand.
    expect(handbook).not.toContain('trysquare mend');
    const feedback = read('feedback/submission-01.glb.md');
    const links = [...feedback.matchAll(/\]\(\.\.\/handbook\.html#([^)]+)\)/g)];
    expect(links.map(([, id]) => id)).toEqual(['axis.up', 'name.missing']);
    for (const [, id] of links) expect(handbook).toContain(`class="entry" id="${id}"`);
    expect(read('pages/submission-01.glb.html')).toContain('href="../handbook.html#axis.up"');
  });
});
