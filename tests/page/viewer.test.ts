// Source of the rules for people: WCAG 2.2 as axe-core (npm `axe-core`) tests it; 40 CSS pixels a target is
// the page's own promise, above the 24 of WCAG 2.2, 2.5.8. Content-Security-Policy: CSP Level 3, as Chromium
// enforces it on the page. Where things are drawn: three.js (npm `three`) on the file's own bytes.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Script } from 'node:vm';
import { Matrix4, Vector3 } from 'three';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { GltfNode } from '../../fixtures/kit/gltf-json.js';
import { findingNumbers } from '../../src/report/finding-numbers.js';
import { browserPath, type Look, startBrowser, type TestBrowser } from '../support/browser.js';
import { look, type PixelBox } from './canvas-pixels.js';
import {
  descriptions,
  lowerThan,
  overflow,
  renderer,
  settled,
  sizeOf,
  violations,
  withoutWebGl,
} from './in-page.js';
import { makePageData, type PageSource } from './make-page-data.js';
import { reference } from './posed-in-three.js';
import { bundledViewer, call, type OpenPage, openPage, viewerPage } from './viewer-page.js';

/** The bundle may weigh this much. Bytes. */
const MOST_BYTES = 700_000;
/** A joint that was flown to is this near the middle, and a mesh where three.js has it. CSS pixels. */
const NEAR = 2;
/** Edge of a target for a finger. CSS pixels. */
const TARGET = 40;
/** `--accent` of the test page. */
const ACCENT = [0x88, 0x44, 0x00];

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const faulty = (): Uint8Array =>
  buildGlb('heron', { weights: 'u8', faults: ['rolled-shin', 'crooked-neck'].map(faultNamed) });

/** Rigs that leave a picture without numbers, size or mesh. */
const STRANGE: readonly (readonly [string, () => Uint8Array])[] = [
  ...['joint-past-the-list', 'too-few-bind-matrices', 'bind-matrix-not-a-number'].map(
    (name) =>
      [`a heron with ${name}`, () => buildGlb('heron', { faults: [faultNamed(name)] })] as const,
  ),
  ['a joint alone', () => bare([{ name: 'lamp' }])],
  [
    'joints scaled to nothing',
    () =>
      bare([
        { name: 'lamp', scale: [0, 0, 0], children: [1] },
        { name: 'hook', translation: [0, 1, 0] },
      ]),
  ],
];

/** Joints and nothing else. */
function bare(nodes: readonly GltfNode[]): Uint8Array {
  const skins = [{ joints: nodes.map((_, index) => index) }];
  return new TextEncoder().encode(JSON.stringify({ asset: { version: '2.0' }, nodes, skins }));
}

test('the bundle is one classic script of bounded size with nothing that ends its block', () => {
  const script = bundledViewer();
  expect(Buffer.byteLength(script)).toBeLessThan(MOST_BYTES);
  expect(script).not.toMatch(/<\/script|<!--/i);
  // Parses it as a script, not as a module, and runs nothing.
  expect(() => new Script(script)).not.toThrow();
});

describe.skipIf(browserPath === null)('the live view', { timeout: 30_000 }, () => {
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-view-'));
  let browser: TestBrowser;
  let script: string;

  beforeAll(async () => {
    [browser, script] = [await startBrowser(), bundledViewer()];
  }, 30_000);
  afterAll(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  const open = async (
    bytes: Uint8Array,
    look: Look = {},
    before: (page: PageSource) => PageSource = (source) => source,
  ): Promise<OpenPage & PageSource> => {
    const source = before(await makePageData(bytes));
    const page = await browser.page({ reducedMotion: 'reduce', ...look });
    return { ...source, ...(await openPage(page, folder, viewerPage(source, script))) };
  };

  test('shows itself from disk without an error or a request', async () => {
    const { page, errors, requests } = await open(faulty());
    const gpu = await page.evaluate(renderer);
    console.info(`WebGL in ${browserPath}: ${gpu}`);
    expect(gpu).toMatch(/WebGL 2/);
    expect(await page.getAttribute('html', 'data-view')).toBe('live');
    expect(await page.isVisible('#view')).toBe(true);
    expect(await page.isVisible('#view-fallback')).toBe(false);
    // There is nothing to curl before a chain is chosen.
    expect(await page.getByRole('slider', { name: 'Each joint turns by' }).isDisabled()).toBe(true);
    await page.getByRole('combobox', { name: 'Chain' }).selectOption({ index: 1 });
    await page.getByRole('slider', { name: 'Each joint turns by' }).fill('45');
    for (const name of ['Front', 'Side', 'Top', 'Whole rig'])
      await page.getByRole('button', { name, exact: true }).click();
    await page.getByRole('checkbox', { name: 'Axes of all joints' }).check();
    await page.getByRole('button', { name: 'Play' }).click();
    await page.getByRole('button', { name: 'Pause' }).click();
    expect((await look(page, 'all')).ink).not.toBeNull();
    expect(errors).toEqual([]);
    expect(requests).toEqual([]);
  });

  test.each(['reduce', 'no-preference'] as const)(
    'brings the joint of a finding to the middle and rings it, motion: %s',
    async (reducedMotion) => {
      const { page, report, errors } = await open(faulty(), { reducedMotion });
      const findings = report.assets[0]?.findings ?? [];
      const numbers = findingNumbers(findings);
      expect(findings.length).toBeGreaterThan(1);
      for (const [index, { rig, place }] of findings.entries()) {
        const joint = place.joint ?? -1;
        await page.locator(`article[data-finding="${index}"] button.show`).click();
        await page.evaluate(settled);
        const size = await page.locator('.view-canvas').evaluate(sizeOf);
        const spot = await call(page, 'projected', rig ?? 0, joint);
        expect(Math.abs((spot?.x ?? 0) - size.width / 2)).toBeLessThan(NEAR);
        expect(Math.abs((spot?.y ?? 0) - size.height / 2)).toBeLessThan(NEAR);
        const around = square(size.width / 2, size.height / 2, 14);
        // The ring alone: the tripod and its letters have other colours.
        expect((await look(page, 'all', ACCENT, around)).count).toBeGreaterThan(60);
        expect(await page.textContent('#view-word')).toContain(
          `Finding ${numbers[index]}: ${place.name} `,
        );
        const current = await page
          .locator('[aria-current=true]:not(article)')
          .evaluateAll(descriptions);
        expect(current.sort()).toEqual([`joint ${joint}`, `show of ${index}`].sort());
      }
      expect(errors).toEqual([]);
    },
  );

  test('flies rather than jumps, unless people want no motion', async () => {
    for (const reducedMotion of ['no-preference', 'reduce'] as const) {
      const { page } = await open(faulty(), { reducedMotion });
      // Pictures of the opening must not be counted.
      await page.evaluate(settled);
      const before = await call(page, 'pictures');
      await call(page, 'flyTo', 0, 8);
      await page.evaluate(settled);
      const pictures = (await call(page, 'pictures')) - before;
      if (reducedMotion === 'reduce') expect(pictures).toBeLessThan(4);
      else expect(pictures).toBeGreaterThan(4);
    }
  });

  test('takes the chain of a finding about a frame, and no chain for a joint of the tree', async () => {
    const { page, report, data } = await open(faulty());
    const [asset] = report.assets;
    const chain = page.getByRole('combobox', { name: 'Chain', exact: true });
    await page.locator('button.joint').nth(3).click();
    expect(await chain.inputValue()).toBe('0');
    for (const [index, { rule, place }] of (asset?.findings ?? []).entries()) {
      if (!rule.startsWith('axis.')) continue;
      await page.locator(`article[data-finding="${index}"] button.show`).click();
      const taken = data.rigs[0]?.chains[Number(await chain.inputValue()) - 1];
      expect(taken?.joints).toContain(place.joint);
    }
    expect(asset?.findings.some(({ rule }) => rule.startsWith('axis.'))).toBe(true);
  });

  test('draws the mesh where three.js has it, as stored and curled', async () => {
    const bytes = faulty();
    const { page, scene } = await open(bytes);
    const [rig] = scene.rigs;
    const neck = rig?.chains.findIndex(({ joints }) => joints.length > 5) ?? -1;
    const boxes: PixelBox[] = [];
    for (const degrees of [0, 15]) {
      const at = await reference(bytes);
      const chain = rig?.chains[neck];
      if (chain === undefined) throw new Error('a heron has a neck');
      at.curl(chain, 'Y', degrees);
      await call(page, 'curl', 0, neck, 'Y', degrees, 'own');
      await page.getByRole('button', { name: 'Side', exact: true }).click();
      await page.evaluate(settled);
      const points = (rig?.meshes ?? []).flatMap((_, part) => at.positions(part));
      const size = await page.locator('.view-canvas').evaluate(sizeOf);
      const expected = boxOf(points, await call(page, 'viewProjection'), size);
      const { ink: drawn } = await look(page, 'mesh');
      expect(drawn).not.toBeNull();
      for (const side of ['left', 'top', 'right', 'bottom'] as const)
        expect(Math.abs((drawn?.[side] ?? Number.NaN) - expected[side])).toBeLessThan(NEAR + 1);
      boxes.push(expected);
    }
    expect(boxes[0]).not.toEqual(boxes[1]);
  });

  test('is turned, neared and reset by keys, and let go of', async () => {
    const { page } = await open(faulty());
    const whole = await call(page, 'viewProjection');
    await page.locator('button.joint').nth(8).click();
    await page.focus('.view-canvas');
    const far = async (): Promise<number> => {
      const [a, b] = [await call(page, 'projected', 0, 0), await call(page, 'projected', 0, 8)];
      return Math.hypot((a?.x ?? 0) - (b?.x ?? 0), (a?.y ?? 0) - (b?.y ?? 0));
    };
    const start = await far();
    await page.keyboard.press('+');
    expect(await far()).toBeGreaterThan(1.1 * start);
    await page.keyboard.press('-');
    expect(await far()).toBeCloseTo(start, 3);
    const seen = await call(page, 'viewProjection');
    await page.keyboard.press('ArrowLeft');
    expect(await call(page, 'viewProjection')).not.toEqual(seen);
    await page.keyboard.press('ArrowRight');
    expect(largestGap(await call(page, 'viewProjection'), seen)).toBeLessThan(1e-6);
    await page.keyboard.press('Shift+ArrowUp');
    const shifted = await call(page, 'projected', 0, 8);
    const high = (await page.locator('.view-canvas').evaluate(sizeOf)).height;
    expect((shifted?.y ?? 0) - high / 2).toBeGreaterThan(10);
    await page.keyboard.press('Shift+ArrowDown');
    expect(largestGap(await call(page, 'viewProjection'), seen)).toBeLessThan(1e-6);
    await page.keyboard.press('Home');
    expect(largestGap(await call(page, 'viewProjection'), whole)).toBeLessThan(1e-6);
    expect(largestGap(seen, whole)).toBeGreaterThan(0.1);
    await page.keyboard.press('Escape');
    expect(await page.locator('[aria-current]').count()).toBe(0);
  });

  test('takes the wheel only from those who clicked into it, and a click for a choice', async () => {
    const { page } = await open(faulty());
    await page.locator('#view-stage').scrollIntoViewIfNeeded();
    const canvas = await page.locator('.view-canvas').boundingBox();
    const spot = await call(page, 'projected', 0, 0);
    if (canvas === null || spot === null) throw new Error('the canvas shows the rig');
    const before = await call(page, 'viewProjection');
    await page.mouse.move(canvas.x + 20, canvas.y + 20);
    await page.mouse.wheel(0, -50);
    await page.waitForTimeout(100);
    expect(await call(page, 'viewProjection')).toEqual(before);
    const now = await page.locator('.view-canvas').boundingBox();
    await page.mouse.click((now?.x ?? 0) + spot.x, (now?.y ?? 0) + spot.y);
    expect(await page.locator('[aria-current=true]').evaluateAll(descriptions)).toEqual([
      'joint 0',
    ]);
    await page.mouse.wheel(0, -200);
    await page.waitForTimeout(100);
    expect(await call(page, 'viewProjection')).not.toEqual(before);
  });

  test('makes no picture while nothing moves', async () => {
    const { page } = await open(faulty());
    await page.evaluate(settled);
    const before = await call(page, 'pictures');
    expect(before).toBeGreaterThan(0);
    await page.waitForTimeout(300);
    expect(await call(page, 'pictures')).toBe(before);
  });

  test.each([
    ['light', 360],
    ['dark', 1280],
  ] as const)('is fit for all in the %s theme at %i pixels', async (colorScheme, width) => {
    const viewport = { width, height: 800 };
    const { page } = await open(faulty(), { viewport, colorScheme });
    await page.locator('article button.show').first().click();
    expect(await page.evaluate(overflow)).toBeLessThanOrEqual(0);
    const small = await page
      .locator('#view-controls :is(button, select, input[type=range], label:has(input))')
      .evaluateAll(lowerThan, TARGET);
    expect(small).toEqual([]);
    await page.evaluate(axe);
    expect(await page.evaluate(violations)).toEqual([]);
  });

  test('follows the theme when it changes', async () => {
    const { page } = await open(faulty(), { colorScheme: 'light' });
    const light = await look(page, 'mesh');
    await page.emulateMedia({ colorScheme: 'dark' });
    const dark = await look(page, 'mesh');
    // `--paper` of the test page; the mesh is its `--ink`, thinned.
    expect(light.paper).toEqual([0xff, 0xff, 0xff]);
    expect(dark.paper).toEqual([0x18, 0x1a, 0x1e]);
    expect(Math.max(...light.strongest)).toBeLessThan(200);
    expect(Math.min(...dark.strongest)).toBeGreaterThan(60);
  });

  test('shows names from files as text, whatever they hold', async () => {
    const evil =
      '<img src=x onerror="document.title=1">\u202e</script><script>document.title=2</script>';
    const puppet = raisePuppet('heron', { faults: [faultNamed('crooked-neck')] });
    puppet.edits.push(({ nodes, animations }) => {
      for (const node of nodes) if (node.name?.startsWith('neck_')) node.name += evil;
      for (const animation of animations ?? []) animation.name = evil;
    });
    const { page, errors, requests } = await open(mainFile(buildPuppet(puppet)));
    await page.locator('article button.show').first().click();
    expect(await page.textContent('#view-word')).toContain('neck_mid<img src=x onerror=');
    expect(await page.textContent('#view-word')).toContain('\\u202e');
    expect(
      await page.locator('#view-controls option', { hasText: '<img' }).count(),
    ).toBeGreaterThan(0);
    expect(await page.locator('img').count()).toBe(0);
    // Neither names of joints nor that of the clip may reorder what is read.
    expect(await page.textContent('#view')).not.toContain('\u202e');
    expect(await page.title()).toBe('A puppet');
    expect([...errors, ...requests]).toEqual([]);
  });

  test('shows two rigs, and the controls of the one at hand', async () => {
    const two = (source: PageSource): PageSource => {
      const { data, report } = source;
      const [rig, asset] = [data.rigs[0], report.assets[0]];
      const told = asset?.rigs[0];
      if (rig === undefined || asset === undefined || told === undefined)
        throw new Error('one rig');
      const second = { ...rig, name: 'its shadow', clips: [], notes: ['The shadow has no clips.'] };
      return {
        ...source,
        data: { rigs: [rig, second] },
        report: { ...report, assets: [{ ...asset, rigs: [told, { ...told, index: 1 }] }] },
      };
    };
    const { page } = await open(faulty(), {}, two);
    expect(await page.getByRole('group', { name: 'Clips' }).count()).toBe(1);
    await page.locator('button.joint[data-rig="1"]').nth(8).click();
    expect(await page.getByRole('combobox', { name: 'Rig', exact: true }).inputValue()).toBe('1');
    expect(await page.getByRole('group', { name: 'Clips' }).count()).toBe(0);
    expect(await page.textContent('#view-controls')).toContain('The shadow has no clips.');
    await call(page, 'curl', 1, 0, 'Z', 30, 'own');
    const [first, second] = [await call(page, 'joints', 0), await call(page, 'joints', 1)];
    expect(first).not.toEqual(second);
    await page.getByRole('combobox', { name: 'Rig', exact: true }).selectOption('0');
    expect(await page.getByRole('group', { name: 'Clips' }).count()).toBe(1);
  });

  test('stays away without WebGL, and says so without an error', async () => {
    const source = await makePageData(faulty());
    const window = await browser.window();
    await window.addInitScript(withoutWebGl);
    const { page, errors } = await openPage(
      await window.newPage(),
      folder,
      viewerPage(source, script),
    );
    expect(await page.getAttribute('html', 'data-view')).toBe('none');
    expect(await page.isVisible('#view')).toBe(false);
    expect(await page.isVisible('#view-fallback')).toBe(true);
    expect(await page.locator('button.show:visible').count()).toBe(0);
    expect(errors).toEqual([]);
  });

  test('says nothing of an asset without a rig', async () => {
    const { page, errors } = await open(buildGlb('heron'), {}, (source) => ({
      ...source,
      data: { rigs: [] },
    }));
    expect(await page.getAttribute('html', 'data-view')).toBe('none');
    expect(await page.isVisible('#view')).toBe(false);
    expect(await page.isVisible('#view-fallback')).toBe(false);
    expect(errors).toEqual([]);
  });

  test.each(STRANGE)('shows %s as far as it can', async (_title, make) => {
    const { page, errors } = await open(make());
    expect(await page.getAttribute('html', 'data-view')).toBe('live');
    await page.locator('button.joint').last().click();
    expect(await page.locator('[aria-current=true]').count()).toBe(1);
    expect((await call(page, 'viewProjection')).every(Number.isFinite)).toBe(true);
    expect((await look(page, 'all')).ink).not.toBeNull();
    expect(errors).toEqual([]);
  });

  test('stays away when its data are broken, and shows that as the bug it is', async () => {
    const broken = (source: PageSource): PageSource => ({
      ...source,
      // What no packer writes: a page cut short or edited by hand.
      data: { rigs: [{}] } as unknown as PageSource['data'],
    });
    const { page, errors } = await open(faulty(), {}, broken);
    expect(await page.getAttribute('html', 'data-view')).toBe('none');
    expect(await page.isVisible('#view-fallback')).toBe(true);
    expect(errors).toHaveLength(1);
  });
});

function square(x: number, y: number, half: number): PixelBox {
  return { left: x - half, top: y - half, right: x + half, bottom: y + half };
}

function largestGap(a: readonly number[], b: readonly number[]): number {
  return Math.max(...a.map((value, i) => Math.abs(value - (b[i] ?? Number.NaN))));
}

/** The box of points on the canvas, by a matrix to clip space (column-major; WebGL: -1 to 1, y up). */
function boxOf(
  points: readonly number[],
  matrix: readonly number[],
  { width, height }: { readonly width: number; readonly height: number },
): PixelBox {
  const toClip = new Matrix4().fromArray(matrix);
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < points.length; i += 3) {
    const { x, y } = new Vector3().fromArray(points, i).applyMatrix4(toClip);
    [left, right] = [Math.min(left, ((1 + x) * width) / 2), Math.max(right, ((1 + x) * width) / 2)];
    [top, bottom] = [
      Math.min(top, ((1 - y) * height) / 2),
      Math.max(bottom, ((1 - y) * height) / 2),
    ];
  }
  return { left, top, right, bottom };
}
