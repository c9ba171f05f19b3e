// Source: three.js (npm `three`), `GLTFLoader`, `AnimationMixer` and `SkinnedMesh.applyBoneTransform`, which
// read the asset's own bytes here in Node; the page has only what was packed. Skinning: glTF 2.0, Skins.
// The hand comes from npm `@webxr-input-profiles/assets`, profile generic-hand.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { buildSync } from 'esbuild';
import type { Locator, Page } from 'playwright-core';
import { Matrix4, Vector3 } from 'three';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { heron } from '../../fixtures/cast/heron.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { Character } from '../../fixtures/kit/character.js';
import type { RigScene } from '../../src/draw/scene.js';
import { significant } from '../../src/kit/figures.js';
import { curledSegments } from '../../src/measure/skeleton/curl.js';
import { curlChain, judgedCurl } from '../../src/measure/skeleton/curl-pose.js';
import { dataBlock, wholePage } from '../../src/page/markup.js';
import { LETTERS } from '../../src/rig/letters.js';
import { browserPath, startBrowser, type TestBrowser } from '../support/browser.js';
import { factsOf } from '../support/facts-of.js';
import { handBytes } from '../support/hands.js';
import { storedAt } from '../support/stored-at.js';
import { sizeOf } from './in-page.js';
import { makePageData } from './make-page-data.js';
import { farthestApart, reference } from './posed-in-three.js';
import { bundledViewer, call, openPage, viewerPage } from './viewer-page.js';

/** Positions are packed in 65,535 steps a side, and drawn in single precision. Share of size. */
const SAME = 1e-4;
/** Weights that were not stored in steps of 1/255 are rounded to them. Share of size. */
const SAME_WITH_ROUNDED_WEIGHTS = 2e-3;
/** What a pose must move for a comparison to say anything. Share of size. */
const MOVED = 0.02;

/** A heron in two costumes, each with a skin of its own; quantised, so that their binds differ. */
const robedHeron: Character = {
  ...heron,
  flesh: heron.flesh.map((part, at) => (at === 0 ? { ...part, costume: 'robe' } : part)),
};

function combobox(page: Page, name: string): Locator {
  return page.getByRole('combobox', { name, exact: true });
}

describe.skipIf(browserPath === null)('the mesh of the live view', { timeout: 30_000 }, () => {
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

  const open = async (bytes: Uint8Array) => {
    const source = await makePageData(bytes);
    const { page, errors } = await openPage(
      await browser.page({ reducedMotion: 'reduce' }),
      folder,
      viewerPage(source, script),
    );
    const [rig] = source.scene.rigs;
    if (rig === undefined) throw new Error('the asset has a rig');
    return { ...source, rig, page, errors };
  };
  /** Largest distance of any vertex of the page from the reference. Share of size. */
  const off = async (
    { page, rig }: Pick<Awaited<ReturnType<typeof open>>, 'page' | 'rig'>,
    at: { positions(part: number): number[] },
  ): Promise<number> => {
    let worst = 0;
    for (const part of rig.meshes.keys()) {
      const shown = await call(page, 'positions', 0, part);
      worst = Math.max(worst, farthestApart(shown, at.positions(part)));
    }
    return worst / rig.size;
  };

  test('follows the slider of the curl as three.js turns and skins the file', async () => {
    const bytes = buildGlb('heron', { weights: 'u8', faults: [faultNamed('rolled-shin')] });
    const opened = await open(bytes);
    const { page, rig, report } = opened;
    const still = await reference(bytes);
    expect(await off(opened, still)).toBeLessThan(SAME);
    const shin = rig.chains.findIndex(({ joints }) =>
      joints.includes(report.assets[0]?.findings[0]?.place.joint ?? -1),
    );
    const neck = rig.chains.findIndex(({ joints }) => joints.length > 5);
    for (const chain of [shin, neck]) {
      const words = rig.chains[chain];
      if (words === undefined)
        throw new Error('a heron has a neck, and a faulty one a chain with its fault');
      await combobox(page, 'Chain').selectOption(String(chain + 1));
      for (const letter of LETTERS) {
        await combobox(page, 'About').selectOption(String('XYZ'.indexOf(letter)));
        for (const [frames, degrees] of [
          ['own', 24],
          ['carried', 24],
          ['own', -157.5],
        ] as const) {
          const label = frames === 'own' ? 'as it is' : 'as frames carried along the chain would';
          await page.getByRole('radio', { name: label }).check();
          await page.getByRole('slider', { name: 'Each joint turns by' }).fill(String(degrees));
          const curled = await reference(bytes);
          curled.curl(words, letter, degrees, frames);
          expect(await off(opened, curled)).toBeLessThan(SAME);
          const moved = farthestApart(curled.joints().flat(), still.joints().flat());
          // A chain of three moves no joint but its last.
          expect(moved / rig.size).toBeGreaterThan(MOVED);
        }
      }
    }
    await combobox(page, 'Chain').selectOption('0');
    expect(await off(opened, still)).toBeLessThan(SAME);
  });

  test.each(['LINEAR', 'STEP'])('is posed by a clip as three.js plays it: %s', async (kind) => {
    const puppet = raisePuppet('heron');
    puppet.edits.push(({ animations = [] }) => {
      for (const { samplers } of animations) for (const one of samplers) one.interpolation = kind;
    });
    const bytes = mainFile(buildPuppet(puppet, { weights: 'u8' }));
    const opened = await open(bytes);
    const [still, { rig, page }] = [await reference(bytes), opened];
    const duration = rig.clips[0]?.duration ?? 0;
    expect(duration).toBeGreaterThan(0);
    let moved = 0;
    for (const share of [0.13, 0.5, 0.87]) {
      await call(page, 'pose', 0, 0, share * duration);
      const played = await reference(bytes);
      played.play(0, share * duration);
      expect(await off(opened, played)).toBeLessThan(SAME);
      moved = Math.max(moved, farthestApart(played.joints().flat(), still.joints().flat()));
    }
    expect(moved / rig.size).toBeGreaterThan(MOVED);
    await combobox(page, 'Clip').selectOption('1');
    await page.getByRole('slider', { name: 'Time' }).fill('0.5');
    const played = await reference(bytes);
    played.play(0, 0.5 * duration);
    expect(await off(opened, played)).toBeLessThan(SAME);
    await call(page, 'pose', 0, null, 0);
    expect(await off(opened, still)).toBeLessThan(SAME);
  });

  test('is that of a published hand in every clip', async () => {
    const bytes = handBytes('left');
    const opened = await open(bytes);
    expect(await off(opened, await reference(bytes))).toBeLessThan(SAME_WITH_ROUNDED_WEIGHTS);
    for (const [at, { duration }] of opened.rig.clips.entries()) {
      await call(opened.page, 'pose', 0, at, duration / 2);
      const played = await reference(bytes);
      played.play(at, duration / 2);
      expect(await off(opened, played)).toBeLessThan(SAME_WITH_ROUNDED_WEIGHTS);
    }
  });

  test('is put together from two skins with binds of their own', async () => {
    const bytes = buildGlb(robedHeron, { weights: 'u8', positions: 'quantised' });
    const opened = await open(bytes);
    const { rig, page } = opened;
    expect(rig.skins).toHaveLength(2);
    const [one, two] = rig.skins.map(({ inverseBind }) => [...inverseBind]);
    expect(one).not.toEqual(two);
    const [chain] = rig.chains;
    if (chain === undefined) throw new Error('a heron has chains');
    await call(page, 'curl', 0, 0, 'Y', 30, 'own');
    const curled = await reference(bytes);
    curled.curl(chain, 'Y', 30);
    expect(await off(opened, curled)).toBeLessThan(SAME);
  });

  test.each([1e-6, 1e6])('is as true at a unit of %s', async (unitScale) => {
    const bytes = buildGlb('heron', { weights: 'u8', unitScale });
    const opened = await open(bytes);
    const [chain] = opened.rig.chains;
    if (chain === undefined) throw new Error('a heron has chains');
    await call(opened.page, 'curl', 0, 0, 'Z', 15, 'own');
    const curled = await reference(bytes);
    curled.curl(chain, 'Z', 15);
    expect(await off(opened, curled)).toBeLessThan(SAME);
    await call(opened.page, 'flyTo', 0, 5);
    const spot = await call(opened.page, 'projected', 0, 5);
    const box = await opened.page.locator('#view-stage canvas').first().boundingBox();
    expect(spot?.x).toBeCloseTo((box?.width ?? 0) / 2, 0);
    expect(spot?.y).toBeCloseTo((box?.height ?? 0) / 2, 0);
  });

  test('keeps vertices that nothing moves where the file has them', async () => {
    const bytes = buildGlb('heron', { weights: 'u8', faults: [faultNamed('forgotten-vertices')] });
    const { rig, page } = await open(bytes);
    await call(page, 'curl', 0, 0, 'Y', 30, 'own');
    let still = 0;
    for (const [part, mesh] of rig.meshes.entries()) {
      const shown = await call(page, 'positions', 0, part);
      for (let vertex = 0; vertex < mesh.positions.length / 3; vertex++) {
        if (mesh.weights.subarray(4 * vertex, 4 * vertex + 4).some((weight) => weight > 0))
          continue;
        const [there, here] = [mesh.positions, shown].map((list) => [
          ...list.slice(3 * vertex, 3 * vertex + 3),
        ]);
        expect(farthestApart(there ?? [], here ?? []) / rig.size).toBeLessThan(SAME);
        still++;
      }
    }
    expect(still).toBeGreaterThan(0);
  });

  test('keeps a skewed joint as the file has it, which no turn and scale could', async () => {
    const skew = new Matrix4().makeShear(0, 0.9, 0, 0, 0, 0);
    const puppet = raisePuppet({ ...heron, clips: [] });
    puppet.edits.push(({ nodes }) => {
      const node = nodes.find(({ name }) => name === 'neck_low');
      if (node === undefined) throw new Error('a heron has a neck');
      const [x = 0, y = 0, z = 0] = node.translation ?? [];
      node.matrix = skew.clone().setPosition(x, y, z).toArray();
      delete node.translation;
      delete node.rotation;
    });
    const bytes = mainFile(buildPuppet(puppet, { weights: 'u8' }));
    const opened = await open(bytes);
    const stored = await reference(bytes);
    const node = [...stored.nodes.values()].find(({ name }) => name === 'neck_low');
    expect(await off(opened, stored)).toBeGreaterThan(MOVED);
    if (node === undefined) throw new Error('a heron has a neck');
    // three.js splits the matrix as well, and loses the skew: it is given back by hand.
    node.updateMatrix();
    const place = node.position.clone();
    node.matrixAutoUpdate = false;
    node.matrix.copy(skew).setPosition(place);
    expect(await off(opened, stored)).toBeLessThan(SAME);
    const neck = opened.rig.chains.findIndex(({ joints }) => joints.length > 5);
    const chain = opened.rig.chains[neck];
    if (chain === undefined) throw new Error('a heron has a neck');
    await call(opened.page, 'curl', 0, neck, 'Y', 15, 'own');
    stored.curl(chain, 'Y', 15);
    expect(await off(opened, stored)).toBeLessThan(SAME);
  });

  test.each([
    ['stored as bound', () => buildGlb('heron', { faults: [faultNamed('rolled-shin')] })],
    [
      'stored posed',
      () => storedAt('heron', 0.31, (puppet) => puppet.turnFrame('shin_L', 'aim', 40)).bytes,
    ],
  ] as const)('tells of the curl that is shown what the measure says: %s', async (kind, make) => {
    const bytes = make();
    const { page, rig } = await open(bytes);
    expect(rig.chains.some(({ bound }) => bound !== undefined)).toBe(kind === 'stored posed');
    const measured = await factsOf(bytes);
    expect(rig.chains.map(({ curl }) => curl)).toEqual(
      curledSegments(measured).map(({ chain }) => chain),
    );
    let most = 0;
    for (const [index, chain] of rig.chains.entries()) {
      expect(chain.joints.length).toBeGreaterThan(2);
      for (const letter of LETTERS) {
        for (const degrees of [-180, 45]) {
          await call(page, 'curl', 0, index, letter, degrees, 'own');
          const { drift, worst } = curlChain(chain.curl, letter, degrees);
          const [places, others] = [await call(page, 'joints', 0), await call(page, 'compared')];
          const shown = chain.joints.map((joint) => places[joint] ?? []);
          const gap = Math.max(...shown.map((place, at) => farthestApart(place, others[at] ?? [])));
          const length = shown.reduce(
            (sum, place, at) => sum + farthestApart(place, shown[at - 1] ?? place),
            0,
          );
          expect(gap / length).toBeCloseTo(drift, 4);
          expect(await call(page, 'gap')).toBeCloseTo(drift, 6);
          const told = await page.textContent('.view-curl .view-word');
          expect(told).toContain(`Every joint turned by ${degrees}° about ${letter}: `);
          if (drift > MOVED)
            expect(told).toContain(
              `${nameOf(rig, chain.joints[worst])} is off by ${significant(100 * drift)} % of the chain's length.`,
            );
          most = Math.max(most, drift);
        }
      }
    }
    expect(most).toBeGreaterThan(MOVED);
  });

  test('is curled in a figure of its own, one of several on a page', async () => {
    const bytes = buildGlb('caterpillar', { faults: [faultNamed('rings-on-another-axis')] });
    const { data, scene } = await makePageData(bytes);
    const chain = scene.rigs[0]?.chains.findIndex(({ curl }) => judgedCurl(curl).drift > MOVED);
    const { outputFiles } = buildSync({
      stdin: {
        contents: `import { mountCurl } from './curl-figure.js';
          const data = JSON.parse(document.getElementById('page-data').textContent);
          for (const [id, degrees] of [['one', 30], ['two', -12]])
            mountCurl(document.getElementById(id), data, { chain: ${chain}, letter: 'X', degrees });
          document.documentElement.dataset.view = 'live';`,
        resolveDir: join(import.meta.dirname, '../../src/page/client'),
      },
      bundle: true,
      format: 'iife',
      write: false,
    });
    const body = `<div id="one">No picture.</div><div id="two">No picture.</div>${dataBlock('page-data', JSON.stringify(data))}`;
    const html = wholePage({
      title: 'Figures',
      style: '',
      body,
      script: outputFiles[0]?.text ?? '',
    });
    const opened = await browser.page({ reducedMotion: 'reduce' });
    const { page, errors } = await openPage(opened, folder, html);
    const told = await page.locator('.view-curl .view-word').allTextContents();
    expect(told.map((words) => words.slice(0, 38))).toEqual([
      'Every joint turned by 30° about X: rin',
      'Every joint turned by -12° about X: ri',
    ]);
    const boxes = await page
      .locator('.view-stage canvas')
      .evaluateAll((all) => all.map((one) => one.getBoundingClientRect().height));
    expect(boxes).toHaveLength(4);
    for (const height of boxes) expect(height).toBeGreaterThan(200);
    await page.locator('#two').getByRole('slider').fill('0');
    expect(await page.locator('#one .view-word').textContent()).toBe(told[0]);
    expect(await page.locator('#two .view-word').textContent()).toContain('Choose a chain');
    expect(errors).toEqual([]);
  });

  test('turns to what leaves its place, until a hand turns it, and again when asked', async () => {
    const { page, rig } = await open(buildGlb('heron', { faults: [faultNamed('flipped-shin')] }));
    const leg = rig.chains.findIndex(({ curl }) => judgedCurl(curl).drift > MOVED);
    const chain = rig.chains[leg];
    if (chain === undefined) throw new Error('a flipped shin strays');
    const { letter, degrees } = judgedCurl(chain.curl);
    /** The widest gap against the chain, both as they are on the canvas. */
    const seen = async (): Promise<number> => {
      const matrix = new Matrix4().fromArray(await call(page, 'viewProjection'));
      const flat = (places: number[][]): Vector3[] =>
        places.map(([x = 0, y = 0, z = 0]) => {
          const at = new Vector3(x, y, z).applyMatrix4(matrix);
          return new Vector3(at.x * width, at.y * height, 0);
        });
      const { width, height } = await page.locator('.view-canvas').evaluate(sizeOf);
      const places = await call(page, 'joints', 0);
      const own = flat(chain.joints.map((joint) => places[joint] ?? []));
      const others = flat(await call(page, 'compared'));
      return Math.max(...own.map((place, at) => place.distanceTo(others[at] ?? place))) / height;
    };
    await call(page, 'curl', 0, leg, letter, degrees, 'own');
    const follows = page.getByRole('checkbox', { name: 'Turn the view to what leaves its place' });
    expect(await follows.isChecked()).toBe(true);
    const best = await seen();
    expect(best).toBeGreaterThan(WELL_SEEN);
    // From every side that it is left on it comes back to where the gap shows.
    for (const side of ['Front', 'Side', 'Top']) {
      await page.getByRole('button', { name: side, exact: true }).click();
      expect(await follows.isChecked()).toBe(false);
      const before = await call(page, 'viewProjection');
      await call(page, 'curl', 0, leg, letter, degrees / 2, 'own');
      await call(page, 'curl', 0, leg, letter, degrees, 'own');
      expect(await call(page, 'viewProjection')).toEqual(before);
      await follows.check();
      expect(await seen()).toBeGreaterThan(WELL_SEEN);
    }
    await page.focus('.view-canvas');
    await page.keyboard.press('ArrowLeft');
    expect(await follows.isChecked()).toBe(false);
    await page.getByRole('button', { name: 'As the rule turns it' }).click();
    const typed = page.getByRole('spinbutton');
    expect(await typed.inputValue()).toBe(String(degrees));
    // What is typed is what is turned and told, and no more than half a turn.
    for (const [figures, taken] of [
      ['157.5', '157.5'],
      ['-12.34', '-12.34'],
      ['900', '180'],
      ['', '180'],
    ] as const) {
      await typed.fill(figures);
      await typed.press('Enter');
      expect(await typed.inputValue()).toBe(taken);
      expect(await page.textContent('.view-curl .view-word')).toContain(
        `Every joint turned by ${taken}° about ${letter}: `,
      );
      // The page reads stored turns, the measure inverse bind matrices: both are float32.
      const { drift } = curlChain(chain.curl, letter, Number(taken));
      expect(await call(page, 'gap')).toBeCloseTo(drift, 6);
    }
  });
});

/** The widest gap of a curl that strays by most of its length. Share of the canvas's height. */
const WELL_SEEN = 0.2;

function nameOf(rig: RigScene, joint = -1): string {
  return rig.nodes[rig.jointNodes[joint] ?? -1]?.name ?? '';
}
