// Source of the rules for people: WCAG 2.2 as axe-core (npm `axe-core`) tests it. Content-Security-Policy:
// CSP Level 3, as Chromium enforces it on pages opened from disk.
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { Report } from '../../src/report/report-types.js';
import { bigRig } from '../bench/big-rig.js';
import { browserPath, type Look, startBrowser, type TestBrowser } from '../support/browser.js';
import { built } from '../support/built.js';
import { type CliRun, runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';
import { settled } from './in-page.js';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** Runs the command here, with the parts of it that only a build makes. */
function run(cwd: string, ...args: string[]): Promise<CliRun> {
  return runCli(args, {
    cwd,
    pageScript: join(built.folder, 'dist/page.js'),
    worker: join(built.folder, 'bin/worker.cjs'),
  });
}

const faultyHeron = (): Uint8Array =>
  buildGlb('heron', { faults: ['flipped-shin', 'crooked-neck', 'nameless-neck'].map(faultNamed) });

/** A rig whose every name is one that a careless page would run or lose. */
function hostileGltf(): string {
  const names = [
    '<img src=x onerror="globalThis.ran = 1">',
    '</script><script>globalThis.ran = 1</script>',
    '<!-- <script>',
    '\u202egnp.exe',
    'x'.repeat(10_000),
    '',
    "'\" autofocus onfocus='globalThis.ran = 1' x='",
    'javascript:globalThis.ran=1',
  ];
  const built = build('heron', {
    container: 'gltf-embedded',
    faults: [faultNamed('flipped-shin')],
  });
  const json = JSON.parse(Buffer.from(built.files.get(built.main) ?? '').toString()) as {
    nodes: { name?: string }[];
    meshes: { name?: string }[];
    skins: { name?: string }[];
    animations?: { name?: string }[];
  };
  const all = [json.nodes, json.meshes, json.skins, json.animations ?? []].flat();
  for (const [at, item] of all.entries()) item.name = names[at % names.length] ?? '';
  return JSON.stringify(json);
}

describe('written by the command', () => {
  it('the page of one asset is one file, to a file or to standard output, the same bytes', async () => {
    const cwd = tempFolder({ 'heron.glb': faultyHeron() });
    const first = await run(cwd, 'check', 'heron.glb', '--format', 'html');
    expect(first.code).toBe(1);
    expect((await run(cwd, 'check', 'heron.glb', '--out', 'a.html')).code).toBe(1);
    expect(readFileSync(join(cwd, 'a.html'), 'utf8')).toBe(first.stdout);
    expect((await run(cwd, 'check', 'heron.glb', '--out', 'a.html')).stderr).toContain(
      'add --replace',
    );
    expect(readdirSync(cwd).sort()).toEqual(['a.html', 'heron.glb']);
  }, 30_000);

  it('holds the same report as --format json does', async () => {
    const cwd = tempFolder({ 'heron.glb': faultyHeron() });
    const html = (await run(cwd, 'check', 'heron.glb', '--format', 'html')).stdout;
    const [, json = ''] = /id="report">(.*?)<\/script>/s.exec(html) ?? [];
    expect(JSON.parse(json)).toEqual(
      JSON.parse((await run(cwd, 'check', 'heron.glb', '--format', 'json')).stdout),
    );
  }, 30_000);

  it('is at most 1 MB and 1.2 times its geometry, for each of the cast and for large rigs', async () => {
    const large = bigRig({ vertices: 25_000, joints: 301, keys: 120, textureBytes: 0 });
    const cwd = tempFolder({ 'large.glb': large });
    for (const name of castNames) writeFileSync(join(cwd, `${name}.glb`), buildGlb(name));
    await run(cwd, 'check', '.', '--out', 'all.html');
    const [, json = '{}'] =
      /id="report">(.*?)<\/script>/s.exec(
        readFileSync(join(cwd, 'all-pages/large.glb.html'), 'utf8'),
      ) ?? [];
    const { assets } = JSON.parse(json) as Report;
    for (const file of readdirSync(join(cwd, 'all-pages'))) {
      const [rig] = file.startsWith('large') ? (assets[0]?.rigs ?? []) : [];
      // Three floats a place, four shorts and four floats of weights; three indices of four bytes.
      const geometry = 36 * (rig?.vertices ?? 0) + 12 * (rig?.triangles ?? 0);
      const size = statSync(join(cwd, 'all-pages', file)).size;
      expect([file, size < 2 ** 20 + 1.2 * geometry]).toEqual([file, true]);
    }
  }, 60_000);

  it('several give an index and a page each, whatever they are called, by any number of workers', async () => {
    const cwd = tempFolder({
      'a/heron.glb': faultyHeron(),
      'b/heron.glb': buildGlb('heron'),
      'cut.glb': 'glTF',
    });
    expect((await run(cwd, 'check', '.', '--out', 'one.html', '--workers', '1')).code).toBe(3);
    expect(readdirSync(join(cwd, 'one-pages')).sort()).toEqual(
      ['a-heron.glb.html', 'b-heron.glb.html', 'cut.glb.html'].sort(),
    );
    await run(cwd, 'check', 'a', 'b', 'cut.glb', '--out', 'two.html', '--workers', '3');
    for (const file of readdirSync(join(cwd, 'one-pages')))
      expect(readFileSync(join(cwd, 'two-pages', file), 'utf8')).toBe(
        readFileSync(join(cwd, 'one-pages', file), 'utf8').replaceAll('../one.html', '../two.html'),
      );
    const again = await run(cwd, 'check', 'a', 'b', '--out', 'two.html', '--replace');
    expect(again.code).toBe(1);
    rmSync(join(cwd, 'two.html'));
    expect((await run(cwd, 'check', 'a', 'b', '--out', 'two.html')).stderr).toContain('two-pages');
    expect(await run(cwd, 'check', 'a', 'b', '--format', 'html')).toMatchObject({
      code: 2,
      stdout: '',
    });
    expect((await run(cwd, 'check', 'a', 'b', '--format', 'html')).stderr).toContain(
      '--out FILE.html',
    );
  }, 60_000);

  it('pages that were written before one cannot be are taken back', async () => {
    const cwd = tempFolder({ 'a.glb': buildGlb('heron'), 'b.glb': buildGlb('mule') });
    mkdirSync(join(cwd, 'r-pages/b.glb.html'), { recursive: true });
    const { code, stderr } = await run(cwd, 'check', '.', '--out', 'r.html', '--replace');
    expect([code, stderr]).toEqual([2, expect.stringContaining('r-pages/b.glb.html is a folder')]);
    expect(readdirSync(cwd).sort()).toEqual(['a.glb', 'b.glb', 'r-pages']);
    expect(readdirSync(join(cwd, 'r-pages'))).toEqual(['b.glb.html']);
  });

  it('a page of a class that is there is left as it is, unless it may be replaced', async () => {
    const cwd = tempFolder({
      'class/submission-01.glb': buildGlb('heron'),
      'grades/pages/submission-01.glb.html': 'older',
    });
    const { code, stderr } = await run(cwd, 'grade', 'class', '--pages');
    expect([code, stderr]).toEqual([
      2,
      expect.stringContaining('grades/pages/submission-01.glb.html exists already'),
    ]);
    expect(readdirSync(join(cwd, 'grades'))).toEqual(['pages']);
    // What cannot be written in the end takes the new files back, and no older one.
    mkdirSync(join(cwd, 'grades/gradebook.csv'));
    expect(await run(cwd, 'grade', 'class', '--pages', '--replace')).toMatchObject({
      code: 2,
      stderr: expect.stringContaining('gradebook.csv is a folder'),
    });
    expect(readdirSync(join(cwd, 'grades')).sort()).toEqual(['gradebook.csv', 'pages']);
    expect(readdirSync(join(cwd, 'grades/pages'))).toEqual(['submission-01.glb.html']);
  }, 30_000);

  it('a cache gives no page without its drawings', async () => {
    const cwd = tempFolder({ 'heron.glb': faultyHeron() });
    const first = (await run(cwd, 'check', 'heron.glb', '--format', 'html', '--cache', 'kept'))
      .stdout;
    expect(
      (await run(cwd, 'check', 'heron.glb', '--format', 'html', '--cache', 'kept')).stdout,
    ).toBe(first);
    expect(first).toContain('<section id="sheet"');
  }, 30_000);

  it('reports do not hold what pages are drawn from, and merge says so', async () => {
    const cwd = tempFolder({ 'heron.glb': faultyHeron() });
    await run(cwd, 'check', 'heron.glb', '--out', 'r.json');
    const { code, stderr } = await run(cwd, 'merge', 'r.json', '--out', 'r.html');
    expect([code, readdirSync(cwd).includes('r.html')]).toEqual([2, false]);
    expect(stderr).toContain('trysquare check --out FILE.html');
  });

  it('a class has a page for each rig, with its points, and a contact sheet', async () => {
    const cwd = tempFolder({
      'class/submission-02.glb': buildGlb('mule'),
      'class/submission-03.glb': 'glTF',
    });
    mkdirSync(join(cwd, 'class/submission-01'));
    const faults = ['holders-that-nearly-cancel', 'flipped-shin'].map(faultNamed);
    writeFileSync(join(cwd, 'class/submission-01/heron.glb'), buildGlb('heron', { faults }));
    const graded = await run(cwd, 'grade', 'class', '--pages');
    expect(graded.code).toBe(3);
    expect(graded.stdout).toContain('Pages: grades/index.html.');
    expect(readdirSync(join(cwd, 'grades/pages')).sort()).toEqual([
      'submission-01-heron.glb.html',
      'submission-02.glb.html',
      'submission-03.glb.html',
    ]);
    const page = readFileSync(join(cwd, 'grades/pages/submission-02.glb.html'), 'utf8');
    const feedback = readFileSync(join(cwd, 'grades/feedback/submission-02.glb.md'), 'utf8');
    const points = /([\d.]+ of [\d.]+ points)/.exec(feedback)?.[1] ?? '?';
    expect(page).toContain(points);
    const read = (name: string): string => readFileSync(join(cwd, 'grades', name), 'utf8');
    const [value = '?'] = points.split(' ');
    for (const part of [`>${value} <`, 'href="feedback/submission-02.glb.html"', 'Not graded yet'])
      expect(read('index.html')).toContain(part);
    expect(read('feedback/submission-02.glb.html')).toContain(points);
    // What only a teacher may see is on no other page, and none leads to it.
    expect(read('teacher.html')).toContain('For a person to look at (1)');
    for (const name of ['index.html', 'feedback/submission-02.glb.html'])
      expect(read(name)).not.toMatch(/teacher\.html|Near copies|Late/);
    expect((await run(cwd, 'grade', 'class', '--pages')).code).toBe(2);
    expect((await run(cwd, 'grade', 'class', '--pages', '--replace')).code).toBe(3);
  }, 60_000);
});

describe.skipIf(browserPath === null)('in a browser', { timeout: 60_000 }, () => {
  let browser: TestBrowser;
  beforeAll(async () => {
    browser = await startBrowser();
  }, 30_000);
  afterAll(async () => browser?.close());

  interface Opened {
    readonly page: Page;
    /** What the browser complained of, and what it asked for besides the page. */
    readonly told: readonly string[];
  }

  async function open(path: string, look: Look = {}): Promise<Opened> {
    const page = await browser.page(look);
    const told: string[] = [];
    const url = pathToFileURL(path).href;
    // Drivers that draw in software warn of their own speed.
    page.on('console', (message) => {
      if (message.type() === 'error') told.push(`error: ${message.text()}`);
    });
    page.on('pageerror', (error) => told.push(`error: ${error.message}`));
    page.on('request', (request) => {
      if (request.url() !== url) told.push(`request: ${request.url()}`);
    });
    await page.goto(url);
    return { page, told };
  }

  async function pageOf(
    bytes: Uint8Array | string,
    name = 'rig.glb',
    ...flags: string[]
  ): Promise<string> {
    const cwd = tempFolder({ [name]: bytes });
    await run(cwd, 'check', name, '--out', 'page.html', ...flags);
    return join(cwd, 'page.html');
  }

  /** One page for all tests that only look at it. */
  let faultyPage = '';
  beforeAll(async () => {
    const cwd = mkdtempSync(join(tmpdir(), 'trysquare-'));
    writeFileSync(join(cwd, 'rig.glb'), faultyHeron());
    await run(cwd, 'check', 'rig.glb', '--out', 'page.html');
    faultyPage = join(cwd, 'page.html');
    return () => rmSync(cwd, { recursive: true, force: true });
  }, 30_000);

  const live = async (page: Page): Promise<void> => {
    await page.waitForSelector('html[data-view]');
    expect(await page.getAttribute('html', 'data-view')).toBe('live');
  };

  /** What axe-core finds that is serious or worse. */
  async function serious(page: Page): Promise<string[]> {
    // Read by the page's own policy no script of others runs, so that it goes in by the debugger.
    await page.evaluate(axe);
    const found = (await page.evaluate(
      '(async () => (await axe.run()).violations.map(({ id, impact, nodes }) => ({ id, impact, at: nodes.map(({ target }) => target.join(" ")) })))()',
    )) as { id: string; impact: string; at: string[] }[];
    return found
      .filter(({ impact }) => impact === 'serious' || impact === 'critical')
      .map(({ id, at }) => `${id}: ${at.slice(0, 3).join(', ')}`);
  }

  it.each([
    ['light', 1280, 800],
    ['dark', 390, 844],
  ] as const)(
    'opens %s at %i x %i without a complaint or a request, and people can use it',
    async (colorScheme, width, height) => {
      const { page, told } = await open(faultyPage, {
        colorScheme,
        viewport: { width, height },
      });
      await live(page);
      expect(await serious(page)).toEqual([]);
      expect(told).toEqual([]);
      // Nothing sticks out to the side.
      expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(
        width,
      );
    },
  );

  it('choosing a finding brings its joint to the middle of the view', async () => {
    const { page, told } = await open(faultyPage);
    await live(page);
    const shown = page.locator('article.finding[data-joint]');
    expect(await shown.count()).toBeGreaterThan(1);
    for (let at = 0; at < (await shown.count()); at++) {
      const finding = shown.nth(at);
      await finding.locator('button.show').click();
      await page.evaluate(settled);
      const joint = Number(await finding.getAttribute('data-joint'));
      const miss = (await page.evaluate(
        `(() => { const box = document.querySelector('#view-stage canvas').getBoundingClientRect(); const { x, y } = globalThis.trysquareView.projected(0, ${joint}); return Math.hypot(x - box.width / 2, y - box.height / 2); })()`,
      )) as number;
      expect(miss).toBeLessThanOrEqual(2);
    }
    expect(told).toEqual([]);
  });

  it('the view goes along with what is read, not against a hand, and its numbers lead back', async () => {
    const look = { viewport: { width: 1280, height: 800 }, reducedMotion: 'reduce' as const };
    const { page, told } = await open(faultyPage, look);
    await live(page);
    const stands = (): Promise<unknown> =>
      page.evaluate('JSON.stringify(trysquareView.viewProjection())');
    const read = async (number: number): Promise<void> => {
      await page.evaluate(
        `document.getElementById('finding-${number}').scrollIntoView({ block: 'start' })`,
      );
      await page.waitForTimeout(400);
    };
    const before = await stands();
    await read(1);
    expect(await stands()).not.toBe(before);
    expect(await page.locator('#finding-1').getAttribute('aria-current')).toBe('true');
    // The view is still in sight.
    const box = await page.locator('#view-stage').boundingBox();
    expect(box?.y).toBeGreaterThanOrEqual(0);
    expect((box?.y ?? 0) + (box?.height ?? 0)).toBeLessThanOrEqual(800);
    // So it is while the last of its controls is used, which lies under it and not behind it.
    const last = page.locator('#view-controls :is(input, select, button)').last();
    await last.focus();
    const [stage, used] = [
      await page.locator('#view-stage').boundingBox(),
      await last.boundingBox(),
    ];
    expect(stage?.y).toBeGreaterThanOrEqual(0);
    expect(used?.y).toBeGreaterThanOrEqual((stage?.y ?? 0) + (stage?.height ?? Number.NaN));
    expect((used?.y ?? 0) + (used?.height ?? 0)).toBeLessThanOrEqual(800);
    // What is pressed is shown, although the page was still scrolling and another finding is where people read.
    await page.evaluate(
      "scrollBy(0, 2); document.querySelector('#finding-2 button.show').click();",
    );
    await page.waitForTimeout(400);
    expect(await page.locator('#view-word').textContent()).toContain('Finding 2:');
    expect(await page.locator('#finding-1').getAttribute('aria-current')).toBe(null);
    await page.locator('.view-canvas').press('ArrowLeft');
    const turned = await stands();
    await read(2);
    expect(await stands()).toBe(turned);
    // By keyboard: from the picture to the numbers, and back to a finding.
    await page.locator('.view-canvas').focus();
    await page.keyboard.press('Tab');
    const href = await page.evaluate('document.activeElement.getAttribute("href")');
    expect(href).toMatch(/^#finding-\d+$/);
    await page.keyboard.press('Enter');
    expect(await page.evaluate('"#" + document.activeElement.id')).toBe(href);
    expect(await stands()).toBe(turned);
    expect(told).toEqual([]);
  });

  it('a finding about a clip is shown in that clip, at its time, and keys go on from there', async () => {
    const stretched = buildGlb('heron', { faults: [faultNamed('stretching-neck')] });
    const { page, told } = await open(await pageOf(stretched));
    await live(page);
    const finding = page
      .locator('article.finding')
      .filter({ hasText: 'chain.stretch' })
      .or(page.locator('section.group:has(code:text-is("chain.stretch")) article.finding'));
    const [, clip = '?', seconds = '?'] =
      /"(\w+)" stretches .* at ([\d.]+) s/.exec((await finding.first().textContent()) ?? '') ?? [];
    await finding.first().locator('button.show').click();
    expect(
      await page.evaluate(
        "[...document.querySelectorAll('#view-controls select')].map((list) => list.selectedOptions[0].textContent)",
      ),
    ).toContain(clip);
    expect(await page.locator('#view-word').textContent()).toContain(
      `The clip ${clip} stands at ${Number(seconds).toFixed(2)} s.`,
    );
    expect(await page.evaluate('document.activeElement.className')).toContain('view-canvas');
    expect(told).toEqual([]);
  });

  it('names that are markup are text, and run nothing', async () => {
    const path = await pageOf(hostileGltf(), 'rig.gltf', '--motion');
    const { page, told } = await open(path);
    await live(page);
    // In the page itself: a click by the pointer first waits until the view stands still.
    await page.evaluate(
      "for (const button of document.querySelectorAll('button.joint')) button.click()",
    );
    expect(await page.evaluate('globalThis.ran')).toBeUndefined();
    expect(await page.evaluate('document.images.length')).toBe(0);
    expect(await page.evaluate('document.scripts.length')).toBe(4);
    expect(await page.evaluate('document.body.innerText')).toContain('<img src=x onerror=');
    expect(await page.content()).not.toContain('\u202e');
    expect(told).toEqual([]);
  });

  it('answers before the view is made, moves nothing when it is, and keeps a press that came too early', async () => {
    const page = await (await browser.window({ viewport: { width: 390, height: 844 } })).newPage();
    await page.addInitScript(
      'globalThis.requestIdleCallback = (work) => { globalThis.idle = work; }',
    );
    const open = async (): Promise<void> => {
      await page.goto(pathToFileURL(faultyPage).href);
      await page.waitForFunction(() => 'idle' in globalThis);
      expect(await page.locator('#view-stage').isVisible()).toBe(true);
      expect(await page.locator('#view-stage canvas').count()).toBe(0);
      expect(await page.getAttribute('html', 'data-view')).toBeNull();
    };
    const TOP = "document.querySelector('article.finding').getBoundingClientRect().top + scrollY";
    await open();
    const top = await page.evaluate(TOP);
    await page.evaluate('idle()');
    await live(page);
    expect(await page.evaluate(TOP)).toBe(top);
    await open();
    await page.evaluate("document.querySelector('article.finding button.show').click()");
    const finding = page.locator('article.finding').first();
    expect(await finding.getAttribute('aria-current')).toBe('true');
    await live(page);
    expect(await page.locator('#view-word').textContent()).toContain('Finding 1: ');
    await page.context().close();
  });

  it('without WebGL the sheet stands in, and says so', async () => {
    const path = faultyPage;
    const page = await (await browser.window()).newPage();
    await page.addInitScript('HTMLCanvasElement.prototype.getContext = () => null');
    await page.goto(pathToFileURL(path).href);
    await page.waitForSelector('html[data-view=none]');
    expect(await page.locator('#view').isVisible()).toBe(false);
    expect(await page.locator('#view-fallback').isVisible()).toBe(true);
    expect(await page.locator('#sheet svg').first().isVisible()).toBe(true);
    expect(await serious(page)).toEqual([]);
  });

  it('prints to pages without the parts that only work on a screen, and nothing stays folded', async () => {
    const { page } = await open(faultyPage);
    await live(page);
    expect(await page.locator('details.measured:not([open])').count()).toBe(1);
    await page.evaluate("dispatchEvent(new Event('beforeprint'))");
    expect(await page.locator('details:not([open])').count()).toBe(0);
    await page.emulateMedia({ media: 'print' });
    for (const id of ['#view', 'nav', 'button.show'])
      expect(await page.locator(id).first().isVisible()).toBe(false);
    expect(await page.locator('#sheet svg').first().isVisible()).toBe(true);
    const pdf = await page.pdf({ format: 'A4' });
    expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
  });

  it.each([
    ['light', 1280, 800],
    ['dark', 390, 844],
  ] as const)(
    'the handbook opens %s at %i x %i without a complaint, and a pair is curled by keys',
    async (colorScheme, width, height) => {
      const cwd = tempFolder({});
      await run(cwd, 'rules', 'axis', '--out', 'axis.html');
      const look = { colorScheme, viewport: { width, height } };
      const { page, told } = await open(join(cwd, 'axis.html'), look);
      const pair = page.locator('.live[data-rule="axis.up"]');
      await pair.scrollIntoViewIfNeeded();
      const slider = pair.locator('input[type=range]');
      await slider.waitFor();
      const pictures = async (): Promise<Buffer[]> => [
        await pair.locator('canvas').nth(0).screenshot(),
        await pair.locator('canvas').nth(1).screenshot(),
      ];
      const before = await pictures();
      await slider.focus();
      for (let press = 0; press < 12; press++) await page.keyboard.press('ArrowRight');
      const after = await pictures();
      const same = after.map((picture, at) => picture.equals(before[at] ?? picture));
      expect(same).toEqual([false, false]);
      expect(await slider.getAttribute('aria-valuetext')).toBe('37°');
      await pair.getByLabel('Z', { exact: true }).check();
      expect(await pair.locator('canvas').nth(1).getAttribute('aria-label')).toContain(
        'turned by 37° about Z',
      );
      await page.keyboard.press('Tab');
      expect(await serious(page)).toEqual([]);
      expect(told).toEqual([]);
      expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(
        width,
      );
    },
  );

  it('the index sorts and filters its cards, and leads to their pages', async () => {
    const cwd = tempFolder({
      'a.glb': buildGlb('mule'),
      'b.glb': faultyHeron(),
      'c.glb': 'glTF',
      'd.glb': buildGlb('heron'),
    });
    await run(cwd, 'check', '.', '--out', 'all.html');
    const { page, told } = await open(join(cwd, 'all.html'));
    const names = (): Promise<string[]> => page.locator('.card:visible h2').allTextContents();
    expect(await names()).toEqual(['a.glb', 'b.glb', 'c.glb', 'd.glb']);
    await page.locator('#sort').selectOption('worst');
    expect((await names()).slice(0, 2)).toEqual(['c.glb', 'b.glb']);
    await page.locator('#verdicts').selectOption('sound');
    expect(await names()).toEqual(['a.glb', 'd.glb']);
    expect(await page.locator('#shown').textContent()).toBe('2 of 4 shown');
    await page.locator('#filter').fill('D.');
    expect(await names()).toEqual(['d.glb']);
    expect(await serious(page)).toEqual([]);
    expect(told).toEqual([]);
    await page.locator('.card:visible a').click();
    await page.waitForURL(/all-pages\/d\.glb\.html$/);
    await live(page);
    await page.locator('.back a').click();
    await page.waitForURL(/all\.html$/);
  });

  it('the pages of a class have its course, lead to feedback, and can be used by people', async () => {
    const copies = { faults: [faultNamed('flipped-shin')] };
    const cwd = tempFolder({
      'one/submission-01.glb': faultyHeron(),
      'one/submission-02.glb': buildGlb('heron', copies),
      'two/submission-01.glb': buildGlb('heron', copies),
      'two/submission-02.glb': buildGlb('heron', copies),
      'two/submission-03.glb': 'glTF',
    });
    await run(cwd, 'grade', 'one', '--out', 'g1');
    await run(cwd, 'grade', 'two', '--out', 'g2', '--since', 'g1', '--pages');
    const wide = { colorScheme: 'light', viewport: { width: 1280, height: 800 } } as const;
    const narrow = { colorScheme: 'dark', viewport: { width: 390, height: 844 } } as const;
    for (const name of ['index', 'teacher', 'feedback/submission-01.glb'])
      for (const look of [wide, narrow]) {
        const { page, told } = await open(join(cwd, 'g2', `${name}.html`), look);
        expect([name, await serious(page), told]).toEqual([name, [], []]);
        const width = await page.evaluate('document.documentElement.scrollWidth');
        expect(width).toBeLessThanOrEqual(look.viewport.width);
      }
    const teacher = readFileSync(join(cwd, 'g2/teacher.html'), 'utf8');
    expect(teacher).toMatch(/submission-01\.glb<\/a>, <a [^>]*>submission-02\.glb<\/a>/);
    // Who is to be looked at, and who has which grade, lead to what there is of them.
    expect(teacher).toMatch(
      /<li><a href="feedback\/submission-03\.glb\.html">submission-03\.glb<\/a>: .* \(<a href="pages\/submission-03\.glb\.html">its page<\/a>\)<\/li>/,
    );
    expect(teacher).toMatch(/<strong>B<\/strong> \(2\): <a [^>]*>submission-01\.glb<\/a>, /);
    const addresses = [...teacher.matchAll(/href="([^"]+)"/g)].map(([, address = '']) => address);
    expect(addresses.length).toBeGreaterThan(6);
    expect(addresses.filter((address) => !existsSync(join(cwd, 'g2', address)))).toEqual([]);
    const { page } = await open(join(cwd, 'g2/index.html'), wide);
    const words = await page.locator('main').textContent();
    for (const part of ['Commonest faults', 'How points spread', 'Hand-in 1', 'Hand-in 2 (now)'])
      expect(words).toContain(part);
    expect(await page.locator('h3:text-is("Grades") + table tbody').textContent()).toBe(
      'B from 502',
    );
    expect(await page.locator('.card .grade').allTextContents()).toEqual(['Grade B', 'Grade B']);
    expect(await page.locator('.card .shape svg').count()).toBe(2);
    const names = (): Promise<string[]> => page.locator('.card:visible h3').allTextContents();
    await page.locator('#sort').selectOption('change');
    expect((await names())[0]).toBe('submission-01.glb');
    await page.locator('#sort').selectOption('least');
    expect((await names()).at(-1)).toBe('submission-03.glb');
    await page.locator('.card h3 a').first().click();
    await page.waitForURL(/feedback\/submission-0[12]\.glb\.html$/);
    expect(await page.locator('.drawn svg').count()).toBe(1);
    expect(await page.locator('.since').textContent()).toContain('Faults mended');
  });

  it.each([3, 20])(
    'feedback prints on two sheets, of A4 or Letter, however much there is to say, in items of %i sentences',
    async (sentences) => {
      const item = `- **error** at joint \`body/neck\`: ${'the neck is rolled far off, and turns aside. '.repeat(sentences)}`;
      const fixes = Array.from({ length: 40 }, (_, at) => [
        `### ${at + 1}. A joint that is rolled (\`axis.up\`)`,
        'Costs 1 point: 25 \u00d7 3 / 16 \u00d7 1 / 22 = 0.213 (25 points for `axis`, weight 3 of 16).',
        `Why it matters: ${'Joints that share an axis bend in one plane. '.repeat(4)}`,
        Array.from({ length: 9 }, () => item).join('\n'),
      ]);
      const list = (count: number): string => Array.from({ length: count }, () => item).join('\n');
      const table = Array.from({ length: 12 }, (_, at) => `| \`family-${at}\` | 1 | 9.0 | 10 |`);
      const markdown = [
        '# `submission-01`',
        '**50.0 of 100 points, grade D. Verdict: unsound.** 9 errors, 0 warnings, 0 notes.',
        'This rig still needs real work, and the list says where.',
        `Grades: ${Array.from({ length: 8 }, (_, at) => `${'a long name of a grade '.repeat(2)}${at} from ${80 - 10 * at}`).join(', ')}.`,
        ['| family | lost | points | of |', '| --- | ---: | ---: | ---: |', ...table].join('\n'),
        ...Array.from(
          { length: 6 },
          () => 'No rule of `motion` applies here. Its 5 points are not lost.',
        ),
        list(30),
        '## Since the last hand-in',
        'Points: 40.0 before, 50.0 now (+10.0).',
        list(24),
        '## Against the model',
        list(24),
        '## What to fix, in this order',
        ...fixes.flat(),
        '## What is good',
        list(9),
      ].join('\n\n');
      const marks = Array.from({ length: 30 }, (_, at) => {
        return {
          number: at + 1,
          rule: 'motion.collapse',
          // As many letters as a line below a drawing has for names.
          names: Array.from({ length: 300 }, (_, joint) => `a_joint_of_leg_${joint % 10}`),
        };
      });
      const svg =
        '<svg class="drawing" viewBox="0 0 300 900" width="300" height="900"><rect class="drawing-approved" width="300" height="900"/></svg>';
      const { writeFeedbackPage } = await import('../../src/page/class/feedback-html.js');
      const cwd = tempFolder();
      const page = await browser.page();
      for (const drawings of [1, 3]) {
        const html = writeFeedbackPage({
          name: 'submission-01',
          markdown,
          file: 'submission-01.md',
          drawings: Array.from({ length: drawings }, () => ({ svg, marks, unmarked: 99 })),
          pages: [],
          tool: 'trysquare',
        });
        writeFileSync(join(cwd, 'feedback.html'), html);
        await page.goto(pathToFileURL(join(cwd, 'feedback.html')).href);
        for (const format of ['A4', 'Letter']) {
          const pdf = (await page.pdf({ format })).toString('latin1');
          const sheets = pdf.match(/\/Type\s*\/Page\b/g)?.length;
          expect([drawings, format, sheets]).toEqual([drawings, format, 2]);
        }
      }
    },
  );
});
