// Source: three.js (npm `three`), `GLTFLoader` and `AnimationMixer`, which read both files' own bytes here in
// Node. Rules for people: WCAG 2.2 as axe-core (npm `axe-core`) tests it.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { writeMendPage } from '../../src/page/mended/mend-html.js';
import { packPairs } from '../../src/page/mended/pack-pairs.js';
import { browserPath, startBrowser, type TestBrowser } from '../support/browser.js';
import { storyOf } from '../support/mend-story.js';
import { look, type PixelBox } from './canvas-pixels.js';
import { overflow, settled, withoutWebGl } from './in-page.js';
import { farthestApart, reference } from './posed-in-three.js';
import { bundledViewer, openPage } from './viewer-page.js';

/** Keys and matrices are drawn in single precision. Share of size. */
const SAME = 1e-5;
/** Coordinates of a page are whole steps of 1/65535 of the box of a mesh. Share of size. */
const ONE_STEP = 2e-5;

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const flipped = buildGlb('heron', { faults: [faultNamed('flipped-shin')] });

describe.skipIf(browserPath === null)('the page of a mend', { timeout: 30_000 }, () => {
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-view-'));
  let browser: TestBrowser;
  let html: string;
  let made: Awaited<ReturnType<typeof storyOf>>;

  beforeAll(async () => {
    browser = await startBrowser();
    made = await storyOf(flipped);
    html = writeMendPage(made.story, await packPairs(made.story.pairs), bundledViewer());
  }, 60_000);
  afterAll(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  const open = async (options: Parameters<TestBrowser['page']>[0] = {}) =>
    openPage(await browser.page({ reducedMotion: 'reduce', ...options }), folder, html);
  const line = (page: Page) => page.getByRole('slider', { name: 'Line between before and after' });
  const split = (page: Page): Promise<number> => page.evaluate(splitOf);

  test('opens without an error or a request, and shows the numbers of the mend', async () => {
    const { page, errors, requests } = await open();
    const { findings, proof, pairs } = made.story;
    expect(await page.locator('html').getAttribute('data-view')).toBe('live');
    expect(await page.locator('.tiles strong').allTextContents()).toEqual([
      String(findings.gone.length),
      String(findings.left.length),
      String(findings.fresh.length),
      proof.percent.replace(' ', '\u00a0'),
    ]);
    expect(findings.gone).toHaveLength(1);
    expect(await page.locator('.card h3').allTextContents()).toEqual(
      pairs.flatMap(({ changed }) => changed.map(({ number, name }) => `${number} ${name}`)),
    );
    expect(await page.locator('.plot figcaption span').allTextContents()).toEqual(
      proof.clips.map(({ where }) => where),
    );
    expect(proof.clips).toHaveLength(1);
    expect([errors, requests]).toEqual([[], []]);
  });

  test('a clip poses both sides as three.js plays the two files', async () => {
    const { page } = await open();
    const size = made.story.before.rigs[0]?.size ?? 1;
    const files = [flipped, made.result.files.main];
    for (const seconds of [0, 0.26, 1.74]) {
      await page.evaluate(pose, seconds);
      const sides: number[][] = [];
      for (const [side, bytes] of files.entries()) {
        const stage = await reference(bytes);
        stage.play(0, seconds);
        const joints = (await page.evaluate(jointsOf, side)).flat();
        expect(farthestApart(joints, stage.joints().flat()) / size).toBeLessThan(SAME);
        const vertices = await page.evaluate(verticesOf, side);
        expect(farthestApart(vertices, stage.positions(0)) / size).toBeLessThan(ONE_STEP);
        sides.push(vertices);
      }
      // They look the same: that is the point.
      expect(farthestApart(sides[0] ?? [], sides[1] ?? []) / size).toBeLessThan(SAME);
    }
  });

  test('the clip slider moves both, and they play together', async () => {
    const { page } = await open();
    const before = await page.evaluate(jointsOf, 1);
    await page.getByRole('combobox', { name: 'Clip' }).selectOption({ index: 1 });
    await page.getByRole('slider', { name: 'Time' }).focus();
    await page.keyboard.press('End');
    const [old, now] = [await page.evaluate(jointsOf, 0), await page.evaluate(jointsOf, 1)];
    expect(farthestApart(old.flat(), now.flat())).toBeLessThan(1e-4);
    await page.getByRole('button', { name: 'Play' }).click();
    await expect.poll(() => page.evaluate(jointsOf, 1)).not.toEqual(now);
    expect(before).toHaveLength(now.length);
  });

  test('the line is moved by keys, by buttons and by its grip', async () => {
    const { page } = await open();
    expect(await split(page)).toBe(0.5);
    await line(page).focus();
    await page.keyboard.press('ArrowLeft');
    expect(await split(page)).toBe(0.49);
    expect(await line(page).getAttribute('aria-valuetext')).toBe('49 % before, 51 % after');
    await page.keyboard.press('End');
    expect(await split(page)).toBe(1);
    for (const [name, share] of [
      ['After', 0],
      ['Before', 1],
      ['Half and half', 0.5],
    ] as const) {
      const button = page.getByRole('button', { name, exact: true });
      await button.click();
      expect([await split(page), await button.getAttribute('aria-pressed')]).toEqual([
        share,
        'true',
      ]);
    }
    await page.locator('#view-stage').scrollIntoViewIfNeeded();
    const grip = await page.locator('.pair-grip').boundingBox();
    const stage = await page.locator('#view-stage').boundingBox();
    if (grip === null || stage === null) throw new Error('both are on the page');
    await page.mouse.move(grip.x + grip.width / 2, grip.y + grip.height / 2);
    await page.mouse.down();
    await page.mouse.move(stage.x + 0.25 * stage.width, grip.y, { steps: 4 });
    await page.mouse.up();
    expect(await split(page)).toBeCloseTo(0.25, 1);
  });

  test('both sides show one mesh, and other axes at the changed joint', async () => {
    const { page } = await open();
    await page.getByRole('button', { name: 'Show in the view: joint 1, shin_L' }).click();
    // What lies over the canvas is no part of the mesh.
    await page.locator('.pair-divide, .pair-label').evaluateAll(takeAway);
    await page.evaluate(settled);
    const spot = await page.evaluate(spotOf, made.story.pairs[0]?.changed[0]?.before ?? -1);
    const box: PixelBox = {
      left: spot.x - 60,
      top: spot.y - 60,
      right: spot.x,
      bottom: spot.y + 60,
    };
    const meshes: unknown[] = [];
    for (const [side, name] of ['Before', 'After'].entries()) {
      await page.getByRole('button', { name, exact: true }).click();
      await page.evaluate(settled);
      meshes.push((await look(page, 'mesh')).ink);
      const shape = made.story.pairs[0]?.shapes[side];
      const [x = [0, 0, 0]] = shape?.joints.find((joint) => joint.name === 'shin_L')?.axes ?? [];
      // The X axis is turned to the other side by half a turn about the bone.
      const isLeft = x[0] * RIGHT[0] + x[2] * RIGHT[2] < 0;
      const { count } = await look(page, 'all', RED, box);
      expect([name, count > SOME_PIXELS]).toEqual([name, isLeft]);
    }
    expect(meshes[1]).toEqual(meshes[0]);
    await expect.poll(() => page.locator('#view-word').textContent()).toContain('shin_L is ringed');
  });

  test.each([
    [390, 'dark'],
    [1280, 'light'],
  ] as const)(
    'is no wider than a window of %i pixels, %s, and for everybody',
    async (width, colorScheme) => {
      const { page } = await open({ viewport: { width, height: 800 }, colorScheme });
      expect(await page.evaluate(overflow)).toBe(0);
      await page.evaluate(axe);
      expect(await page.evaluate(faults)).toEqual([]);
    },
  );

  test('prints all of it but the view', async () => {
    const { page } = await open();
    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('#view').isVisible()).toBe(false);
    for (const id of ['proof', 'pictures', 'joints', 'curls', 'findings', 'changes'])
      expect(await page.locator(`#${id}`).isVisible()).toBe(true);
    await page.emulateMedia({ media: null });
  });

  test('without WebGL it says so and keeps its pictures', async () => {
    const context = await browser.window();
    try {
      await context.addInitScript(withoutWebGl);
      const { page, errors } = await openPage(await context.newPage(), folder, html);
      expect(await page.locator('#view').isVisible()).toBe(false);
      expect(await page.locator('#view-fallback').textContent()).toContain('needs WebGL');
      expect(await page.locator('#pictures svg').count()).toBe(4);
      expect(errors).toEqual([]);
    } finally {
      await context.close();
    }
  });
});

/** `--axis-x` of the page, in light. */
const RED = [0xc2, 0x2a, 0x1e];
/** An axis and its letter are more than this. */
const SOME_PIXELS = 20;
/** To the right of who looks from where the eye begins. World of the file, not of unit length. */
const RIGHT = [1.6, 0, -0.6] as const;

// These run in the page, whose handle is that of `PairHandle`.

interface Handle {
  pose(rig: number, clip: number | null, seconds: number): void;
  split(): number;
  joints(side: number, rig: number): number[][];
  positions(side: number, rig: number, mesh: number): Float32Array;
  projected(rig: number, joint: number): { x: number; y: number };
}

const takeAway = (elements: unknown): void => {
  for (const element of elements as { remove(): void }[]) element.remove();
};
const splitOf = (): number =>
  (globalThis as unknown as { trysquareView: Handle }).trysquareView.split();
const pose = (seconds: number): void =>
  (globalThis as unknown as { trysquareView: Handle }).trysquareView.pose(0, 0, seconds);
const jointsOf = (side: number): number[][] =>
  (globalThis as unknown as { trysquareView: Handle }).trysquareView.joints(side, 0);
const verticesOf = (side: number): number[] => [
  ...(globalThis as unknown as { trysquareView: Handle }).trysquareView.positions(side, 0, 0),
];
const spotOf = (joint: number): { x: number; y: number } =>
  (globalThis as unknown as { trysquareView: Handle }).trysquareView.projected(0, joint);

const faults = async (): Promise<string[]> => {
  const { axe: tool } = globalThis as unknown as {
    axe: { run(): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };
  };
  const { violations } = await tool.run();
  return violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(' ')}`);
};
