import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { processIo } from '../../src/cli/io.js';
import { openMendPage } from '../../src/cli/mend/mend-page.js';
import { readSvg } from '../draw/drawn.js';
import { type CliRun, runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

const flipped = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

function folderWith(files: Readonly<Record<string, string | Uint8Array>>): string {
  return tempFolder({ 'page.js': 'globalThis.ran = true;', ...files });
}

function mend(cwd: string, ...args: string[]): Promise<CliRun> {
  return runCli(['mend', ...args], { cwd, pageScript: join(cwd, 'page.js') });
}

/** Words of a page, its markup, styles and data taken out. */
function wordsOf(html: string): string {
  return html
    .replace(/<(style|script)[\s\S]*?<\/\1>/g, ' ')
    .replace(/<[^>]*>/g, ' ')
    .replace(/&#39;/g, "'")
    .replace(/&#34;/g, '"')
    .replace(/\s+/g, ' ');
}

describe('mend --page', () => {
  it('writes a page beside the mended file, with the numbers that the command tells', async () => {
    const cwd = folderWith({ 'heron.glb': flipped });
    const args = ['heron.glb', '-o', 'out.glb', '--page', 'out.html'];
    const { code, stdout, stderr } = await mend(cwd, ...args);
    expect(code).toBe(0);
    expect(stderr).toBe(
      'trysquare: the mended file is out.glb\ntrysquare: the page of before and after is out.html\n',
    );
    const words = wordsOf(readFileSync(join(cwd, 'out.html'), 'utf8'));
    const [proof = '?'] = /^Proof: .*$/m.exec(stdout) ?? [];
    expect(words).toContain(proof);
    expect(words).toContain('Unsound → before, Sound after heron.glb: before and after');
    expect(words).toContain('Findings: 1 gone, 0 left, 0 new.');
    expect(words).toContain('The mended file is out.glb.');
    expect(words).toContain('axes turned by 180°');
    expect(words).toContain('frame 180° off aim +Y, up +Z');
  });

  it('leads from each finding and change to the handbook that is named, or that the standard names', async () => {
    const entry = (id: string): string => `<article class="entry" id="${id}">`;
    const cwd = folderWith({
      'heron.glb': flipped,
      'grades/handbook.html': entry('axis.up'),
      'pages/keep': '',
      'house.json': '{"handbook":"https://house.example/handbook"}',
    });
    const linked = async (...args: string[]): Promise<string[]> => {
      const page = ['--page', 'pages/plan.html', '--replace'];
      const { stderr } = await mend(cwd, 'heron.glb', '--dry-run', ...page, ...args);
      expect(stderr).toBe('trysquare: the page of before and after is pages/plan.html\n');
      const html = readFileSync(join(cwd, 'pages/plan.html'), 'utf8');
      return [...html.matchAll(/<a href="([^#]*#axis\.up)"><code>axis\.up<\/code> in the/g)].map(
        ([, address = '']) => address,
      );
    };
    // One where it is told as gone, one where its change is.
    const beside = '../grades/handbook.html#axis.up';
    expect(await linked('--handbook', 'grades/handbook.html')).toEqual([beside, beside]);
    const web = 'https://house.example/handbook#axis.up';
    expect(await linked('--standard', 'house.json')).toEqual([web, web]);
    expect(await linked()).toEqual([]);
    const wrong = await mend(
      cwd,
      'heron.glb',
      '--dry-run',
      '--page',
      'b.html',
      '--handbook',
      'gone',
    );
    expect([wrong.code, wrong.stderr]).toEqual([
      2,
      expect.stringContaining('gone, which is not there'),
    ]);
    const alone = await mend(cwd, 'heron.glb', '--dry-run', '--handbook', 'grades/handbook.html');
    expect([alone.code, alone.stderr]).toEqual([
      2,
      'trysquare: --handbook goes with --page FILE.html\n',
    ]);
    expect(readdirSync(cwd)).not.toContain('b.html');
  });

  it('writes a drawing where the name ends in .svg, and shows a plan with --dry-run', async () => {
    const cwd = folderWith({ 'heron.glb': flipped });
    const { code, stderr } = await mend(cwd, 'heron.glb', '--dry-run', '--page', 'plan.svg');
    expect([code, stderr]).toEqual([0, 'trysquare: the drawing of before and after is plan.svg\n']);
    const texts = readSvg(readFileSync(join(cwd, 'plan.svg'), 'utf8')).map(({ text }) => text);
    expect(texts).toContain('shin_L');
    await mend(cwd, 'heron.glb', '--dry-run', '--page', 'plan.html');
    const words = wordsOf(readFileSync(join(cwd, 'plan.html'), 'utf8'));
    expect(words).toContain('This is a plan: no file was written.');
  });

  it('writes a page and a drawing of one mend, and refuses one place for both', async () => {
    const cwd = folderWith({ 'heron.glb': flipped });
    const dry = ['heron.glb', '--dry-run', '--page', 'a.html', '--page'];
    expect((await mend(cwd, ...dry, 'a.svg')).stderr.split('\n')).toHaveLength(3);
    expect(readdirSync(cwd)).toEqual(expect.arrayContaining(['a.html', 'a.svg']));
    const { code, stderr } = await mend(cwd, ...dry, './a.html', '--replace');
    expect([code, stderr]).toEqual([
      2,
      'trysquare: --page names ./a.html twice; name another file\n',
    ]);
    const words = wordsOf(readFileSync(join(cwd, 'a.html'), 'utf8'));
    expect(words).toContain(
      'the mesh stays the same, and the axes of the changed joints are others',
    );
  });

  it('lists as left all that the command does', async () => {
    const fault = faultNamed('stretching-neck');
    const cwd = folderWith({ 'rig.glb': buildGlb(fault.puppet, { faults: [fault] }) });
    const { stdout } = await mend(cwd, 'rig.glb', '--dry-run', '--page', 'plan.html');
    const left = [...stdout.matchAll(/^ {2}left \S+ at .*?: (.*)$/gm)].map(([, why]) => why ?? '');
    expect(left.length).toBeGreaterThan(0);
    const words = wordsOf(readFileSync(join(cwd, 'plan.html'), 'utf8'));
    const [list = ''] = /Left, and why.* New /.exec(words) ?? [];
    for (const why of left) expect(list).toContain(why);
  });

  it('shows the file as it was, though it is mended in place', async () => {
    const cwd = folderWith({ 'heron.glb': flipped });
    await mend(cwd, 'heron.glb', '--in-place', '--page', 'heron.html');
    const words = wordsOf(readFileSync(join(cwd, 'heron.html'), 'utf8'));
    expect(words).toContain('axes turned by 180°');
  });

  it('tells why each finding that is left is left', async () => {
    const cwd = folderWith({ 'heron.glb': flipped });
    const skipped = ['--skip', 'axis.up', '--dry-run', '--page', 'plan.html'];
    await mend(cwd, 'heron.glb', ...skipped);
    const words = wordsOf(readFileSync(join(cwd, 'plan.html'), 'utf8'));
    expect(words).toMatch(
      /Left, and why 1 error axis\.up .*this mend was not asked to change it New 0/,
    );
    expect(words).toContain('Nothing was changed.');
  });

  it('writes none where nothing is written', async () => {
    const fault = faultNamed('bent-elbow');
    const cwd = folderWith({ 'marionette.glb': buildGlb(fault.puppet, { faults: [fault] }) });
    const bind = ['--rest-from', 'bind', '-o', 'out.glb', '--page', 'out.html'];
    expect((await mend(cwd, 'marionette.glb', ...bind)).code).toBe(4);
    expect(readdirSync(cwd).sort()).toEqual(['marionette.glb', 'page.js']);
  });

  it('says what was allowed to show', async () => {
    const fault = faultNamed('bent-elbow');
    const cwd = folderWith({ 'marionette.glb': buildGlb(fault.puppet, { faults: [fault] }) });
    const bind = ['--rest-from', 'bind', '--allow-change', 'rest.bind', '--dry-run'];
    const { stdout } = await mend(cwd, 'marionette.glb', ...bind, '--page', 'out.html');
    const [allowed = '?'] = /^Allowed: .*$/m.exec(stdout) ?? [];
    const words = wordsOf(readFileSync(join(cwd, 'out.html'), 'utf8'));
    expect(words).toContain(allowed);
    expect(words).toContain('The rig looks different, as was allowed.');
    expect(words).toContain('How far apart they look, as was allowed');
    expect(words).toContain('Drag the line: the mesh differs by what was allowed');
    expect(words).not.toContain('look the same');
  });

  it.each([
    ['out.txt', /ends in \.html for a page, or in \.svg for a drawing/],
    ['heron.glb', /ends in \.html for a page/],
    ['there.html', /there\.html exists already; add --replace/],
    ['none/out.html', /its folder does not exist/],
  ])('refuses %s before anything is mended', async (page, why) => {
    const cwd = folderWith({ 'heron.glb': flipped, 'there.html': 'kept' });
    const { code, stderr } = await mend(cwd, 'heron.glb', '-o', 'out.glb', '--page', page);
    expect(code).toBe(2);
    expect(stderr).toMatch(why);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(readdirSync(cwd).sort()).toEqual(['heron.glb', 'page.js', 'there.html']);
    expect(readFileSync(join(cwd, 'there.html'), 'utf8')).toBe('kept');
  });

  it('does not write over the asset, whatever it is called', async () => {
    const cwd = folderWith({ 'heron.html': flipped });
    const args = ['heron.html', '--dry-run', '--page', 'heron.html', '--replace'];
    const { code, stderr } = await mend(cwd, ...args);
    expect([code, stderr]).toEqual([
      2,
      'trysquare: --page and the asset are the same file, heron.html; name another file\n',
    ]);
    expect(readFileSync(join(cwd, 'heron.html'))).toEqual(Buffer.from(flipped));
  });

  it('refuses several files, and a page without the script that was built', async () => {
    const cwd = tempFolder({ 'heron.glb': flipped });
    const { code, stderr } = await runCli(['mend', '.', '--dry-run', '--page', 'a.html'], { cwd });
    expect([code, stderr]).toEqual([2, expect.stringContaining('--page shows one mend')]);
    const io = processIo();
    expect(() => openMendPage('a', { page: ['a.html'] }, io)).toThrow(/no script for its pages/);
    expect(openMendPage('a', {}, io)).toBeNull();
  });
});
