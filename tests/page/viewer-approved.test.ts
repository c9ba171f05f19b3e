// Source: three.js (npm `three`), `GLTFLoader` and `AnimationMixer`, which read both files' own bytes here in
// Node and put the clip of one on the nodes of the other by their names; the page has only what was packed.
// Rules for people: WCAG 2.2 as axe-core (npm `axe-core`) tests it.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { AnimationMixer, type Object3D, Vector3 } from 'three';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { significant } from '../../src/kit/figures.js';
import { approvedOf } from '../support/approved-of.js';
import { browserPath, startBrowser, type TestBrowser } from '../support/browser.js';
import { modelOf } from '../support/facts-of.js';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';
import { look, type PixelBox } from './canvas-pixels.js';
import { settled, violations } from './in-page.js';
import { makePageData, type PageSource } from './make-page-data.js';
import { farthestApart } from './posed-in-three.js';
import { bundledViewer, call, openPage, viewerPage } from './viewer-page.js';

/** Keys and matrices are drawn in single precision. Share of size. */
const SAME = 1e-5;
/** `--approved` where a page sets none. */
const PURPLE = [0x7d, 0x35, 0xa8];

/** Thin dashes are counted by their pixels, of which a smaller picture has too few. CSS pixels. */
const WINDOW = { width: 1280, height: 720 };

const ALL: PixelBox = { left: 0, top: 0, right: Infinity, bottom: Infinity };

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const approvedBytes = buildGlb('heron', { weights: 'u8' });
/** So many times as large. Its root goes where the clip of the approved rig has it, far from its own. */
const LARGER = 3;
const deliveredBytes = buildGlb('heron', {
  weights: 'u8',
  unitScale: LARGER,
  faults: [faultNamed('neck-in-the-air')],
});

describe.skipIf(browserPath === null)('beside the approved rig', { timeout: 30_000 }, () => {
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-view-'));
  let browser: TestBrowser;
  let script: string;
  let stage: Awaited<ReturnType<typeof onStage>>;

  beforeAll(async () => {
    [browser, script, stage] = [await startBrowser(), bundledViewer(), await onStage()];
  }, 30_000);
  afterAll(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  const open = async (before: (source: PageSource) => PageSource = (source) => source) => {
    const approved = await approvedOf(approvedBytes);
    const source = before(await makePageData(deliveredBytes, 'heron.glb', approved));
    const page = await browser.page({ reducedMotion: 'reduce', viewport: WINDOW });
    const opened = await openPage(page, folder, viewerPage(source, script));
    const [rig] = source.scene.rigs;
    if (rig === undefined) throw new Error('the asset has a rig');
    return { ...source, ...opened, rig };
  };

  test('a clip poses both as three.js plays it, root on root', async () => {
    const { page, rig, errors } = await open();
    for (const seconds of [0.26, 1, 1.74]) {
      await call(page, 'pose', 0, 0, seconds);
      const { own, approved } = stage(seconds);
      expect(farthestApart(await call(page, 'joints', 0).then(flat), own) / rig.size).toBeLessThan(
        SAME,
      );
      const shown = await call(page, 'approved', 0).then(flat);
      expect(farthestApart(shown, approved) / rig.size).toBeLessThan(SAME);
      // Nothing is shown by two rigs that do not part.
      expect(farthestApart(own, approved) / rig.size).toBeGreaterThan(0.01);
    }
    expect(errors).toEqual([]);
  });

  test('goes to the moment that is worst by the rule, with the figure that three.js has there', async () => {
    const { page, rig } = await open();
    await page.getByRole('button', { name: 'Worst moment' }).click();
    const [word = ''] = await page
      .locator('#view-controls .view-word[role=status]')
      .allTextContents();
    const [, seconds, degrees] =
      /^wade, of approved\/puppet\.glb, at (\d\.\d\d) s: the bone to neck_mid is ([\d.]+)° off \(limit 5°\)\.$/.exec(
        word,
      ) ?? [];
    const joint = rig.jointNodes.findIndex((node) => rig.nodes[node]?.name === 'neck_mid');
    const bone = (places: readonly number[]): Vector3 => {
      const [from, to] = [rig.jointParents[joint] ?? -1, joint].map((at) =>
        new Vector3().fromArray(places, 3 * at),
      );
      return to?.sub(from ?? new Vector3()) ?? new Vector3();
    };
    const angleAt = (time: number): number => {
      const { own, approved } = stage(time);
      return (180 / Math.PI) * bone(own).angleTo(bone(approved));
    };
    expect(degrees).toBe(significant(angleAt(Number(seconds))));
    // Keys are at every half second: these times hold them and the points between.
    const worst = Math.max(...Array.from({ length: 9 }, (_, at) => angleAt(at / 4)));
    expect(degrees).toBe(significant(worst));
    const [own, approved] = [await call(page, 'joints', 0), await call(page, 'approved', 0)].map(
      flat,
    );
    if (own === undefined || approved === undefined) throw new Error('both are shown');
    expect(significant((180 / Math.PI) * bone(own).angleTo(bone(approved)))).toBe(degrees);
  });

  test('is dashed over the rig, beside it, or hidden, in a page for everybody', async () => {
    const { page, errors } = await open();
    const inPurple = async (): Promise<number> => {
      await page.evaluate(settled);
      return (await look(page, 'all', PURPLE, ALL)).count;
    };
    // On top most of it is under the bones of the rig.
    expect(await inPurple()).toBeGreaterThan(20);
    await page.getByRole('radio', { name: 'beside this rig' }).check();
    expect(await inPurple()).toBeGreaterThan(200);
    for (const side of ['Front', 'Side']) {
      await page.getByRole('button', { name: side, exact: true }).click();
      const right = side === 'Front' ? 0 : 2;
      const sign = side === 'Front' ? 1 : -1;
      const across = (points: [number, number, number][]): number[] =>
        points.map((point) => sign * point[right]);
      const leftmost = Math.min(...across(await call(page, 'approved', 0)));
      expect(leftmost).toBeGreaterThan(Math.max(...across(await call(page, 'joints', 0))));
    }
    await page.evaluate(axe);
    expect(await page.evaluate(violations)).toEqual([]);
    await page.getByRole('radio', { name: 'not at all' }).check();
    expect(await inPurple()).toBe(0);
    expect(errors).toEqual([]);
  });

  test('a finding about what a clip shows leads to the clip of the approved rig', async () => {
    // Words round what they tell: the page goes by the moment itself, which is the first here.
    const message = 'The clip "wade" of approved/puppet.glb shows neck_mid 70° off at 0.01 s.';
    const { page } = await open((source) => {
      const [asset] = source.report.assets;
      const [finding] = asset?.findings ?? [];
      if (asset === undefined || finding === undefined) throw new Error('a heron with a finding');
      const findings = [{ ...finding, rule: 'fit.play', message }];
      return { ...source, report: { ...source.report, assets: [{ ...asset, findings }] } };
    });
    await page.locator('button.show').click();
    expect(await page.textContent('#view-word')).toContain(
      'The clip wade, of approved/puppet.glb stands at 0.00 s.',
    );
  });
});

/** Joints of both rigs in the report's order, x, y, z each, posed by the approved file's clip in three.js. */
async function onStage() {
  const [own, theirs] = [await loadInThree(deliveredBytes), await loadInThree(approvedBytes)];
  const [clip] = theirs.clips;
  if (clip === undefined) throw new Error('a heron has a clip');
  const inOrder = async (loaded: LoadedScene, bytes: Uint8Array): Promise<Object3D[]> => {
    const [rig] = (await modelOf(bytes)).rigs;
    return [...(rig?.joints.node ?? [])].flatMap((node) => loaded.nodes.get(node) ?? []);
  };
  const actors = [await inOrder(own, deliveredBytes), await inOrder(theirs, approvedBytes)].map(
    (joints) => {
      let top: Object3D | null = joints[0] ?? null;
      while (top?.parent) top = top.parent;
      if (top === null) throw new Error('a heron has joints');
      const mixer = new AnimationMixer(top);
      mixer.clipAction(clip).play();
      return { joints, top, mixer };
    },
  );
  return (seconds: number): Record<'own' | 'approved', number[]> => {
    const [ownPlaces = [], theirPlaces = []] = actors.map(({ joints, top, mixer }) => {
      // At its very end a clip that loops is at its start.
      mixer.setTime(Math.min(seconds, clip.duration - 1e-6));
      top.updateMatrixWorld(true);
      return joints.map((joint) => new Vector3().setFromMatrixPosition(joint.matrixWorld));
    });
    const [from, to] = [theirPlaces[0] ?? new Vector3(), ownPlaces[0] ?? new Vector3()];
    const onRoot = (place: Vector3): Vector3 =>
      place.clone().sub(from).multiplyScalar(LARGER).add(to);
    return {
      own: ownPlaces.flatMap((place) => place.toArray()),
      approved: theirPlaces.flatMap((place) => onRoot(place).toArray()),
    };
  };
}

function flat(points: readonly (readonly number[])[]): number[] {
  return points.flat();
}
