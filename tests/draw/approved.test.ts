// Source of the contrast asked of lines: WCAG 2.2, 1.4.11 (Non-text Contrast), 3 to 1; its formula of
// contrast and relative luminance. The colours are read out of the style sheet that drawings carry.
import { describe, expect, it } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { turnAbout } from '../../fixtures/kit/turns.js';
import { pairRigs } from '../../src/check/pair-rigs.js';
import { drawingCss } from '../../src/draw/drawing-css.js';
import { layOver } from '../../src/draw/lay-over.js';
import { makeScene } from '../../src/draw/make-scene.js';
import { drawPictures } from '../../src/draw/pictures.js';
import { jointPlaces, restWorld } from '../../src/draw/rest-mesh.js';
import { makeRigShape } from '../../src/draw/rig-shape.js';
import type { RigScene, SceneApproved } from '../../src/draw/scene.js';
import { drawSheet } from '../../src/draw/sheet.js';
import type { Facts } from '../../src/measure/facts.js';
import { mat4At, origin } from '../../src/rig/mat4.js';
import type { ApprovedAsset } from '../../src/rig/types.js';
import { add, distance, type Vec3 } from '../../src/rig/vec3.js';
import { APPROVED_NAME, approvedOf } from '../support/approved-of.js';
import { modelOf } from '../support/facts-of.js';
import { drawable, hasClass, readSvg } from './drawn.js';

const WANTED = { aim: null, up: null };
/** Places go through 32-bit floats of the file. Share of size. */
const SAME = 1e-5;

/** The first rig of an asset, and what is laid over it. */
async function over(bytes: Uint8Array, approved: ApprovedAsset) {
  const { rigs } = await modelOf(bytes);
  const [rig] = rigs;
  const against = rig && pairRigs(approved, rigs).get(rig);
  if (rig === undefined || against === undefined) throw new Error('no rig to compare');
  const facts: Facts = { rig, wanted: WANTED, approved: against };
  const [scene] = makeScene({ rigs, nodes: rig.nodes, clips: [] }, WANTED).rigs;
  if (scene === undefined) throw new Error('no scene');
  return { scene, laid: layOver(facts, scene) };
}

/** How far the joints of the approved rig are from those that answer to them. Share of size. */
function gaps(scene: RigScene, { places, jointAnswers }: SceneApproved): number[] {
  const own = jointPlaces(scene, restWorld(scene));
  return places.map((place, joint) => {
    const answer = own[jointAnswers[joint] ?? -1];
    return answer === undefined ? Number.NaN : distance(place, answer) / scene.size;
  });
}

/** A heron on a cart that stands across, three times as large as life. */
function carted(): Uint8Array {
  const puppet = raisePuppet('heron');
  puppet.edits.push(({ nodes }) => {
    const stage = nodes.find(({ name }) => name === 'stage');
    if (stage === undefined) throw new Error('a heron has a stage');
    stage.rotation = [0, Math.SQRT1_2, 0, Math.SQRT1_2];
    stage.scale = [3, 3, 3];
    stage.translation = [5, 0, 0];
  });
  return mainFile(buildPuppet(puppet));
}

describe('an approved rig is laid over a rig', () => {
  it('a hundred times as large, where that is how the rig is stored', async () => {
    const { scene, laid } = await over(
      buildGlb('heron', { unitScale: 100 }),
      await approvedOf(buildGlb('heron')),
    );
    if (laid === null) throw new Error('nothing was laid over');
    expect(laid.scale).toBeCloseTo(100, 3);
    expect(Math.max(...gaps(scene, laid))).toBeLessThan(SAME);
  });

  it('as large, where one long bone is at fault', async () => {
    const bytes = buildGlb('heron', { faults: [faultNamed('neck-in-the-air')] });
    const { laid } = await over(bytes, await approvedOf(buildGlb('heron')));
    expect(laid?.scale).toBeCloseTo(1, 5);
  });

  it('as it is, where both have the same holder', async () => {
    const bytes = carted();
    const { scene, laid } = await over(bytes, await approvedOf(bytes));
    if (laid === null) throw new Error('nothing was laid over');
    expect(laid.turned).toBe(0);
    expect(laid.scale).toBeCloseTo(1, 5);
    expect(Math.max(...gaps(scene, laid))).toBeLessThan(SAME);
  });

  it('turned as a whole, where that is how the rig stands', async () => {
    const { scene, laid } = await over(carted(), await approvedOf(buildGlb('heron')));
    if (laid === null) throw new Error('nothing was laid over');
    expect(laid.turned).toBeCloseTo(90, 3);
    expect(laid.scale).toBeCloseTo(3, 5);
    // Clips do not pose the cart: it turns what is played as well.
    expect(laid.onto[8]).toBeCloseTo(3, 5);
    expect(Math.max(...gaps(scene, laid))).toBeLessThan(SAME);
  });

  it('turned as a rig that is stored turned is drawn, but not for clips, which pose its root', async () => {
    const puppet = raisePuppet('heron');
    puppet.joint('body').restTurn = turnAbout([1, 0, 0], 90);
    puppet.joint('body').restMove = [2, 0, 0];
    const { laid } = await over(mainFile(buildPuppet(puppet)), await approvedOf(buildGlb('heron')));
    if (laid === null) throw new Error('nothing was laid over');
    expect(laid.turned).toBeCloseTo(90, 3);
    const root = laid.places[laid.held[0]] ?? [0, 0, 0];
    const { rigs } = await modelOf(buildGlb('heron'));
    const stood = origin(
      mat4At(rigs[0]?.nodes.world ?? new Float64Array(), rigs[0]?.joints.node[0] ?? 0),
    );
    expect(distance(root, add(stood, [2, 0, 0]))).toBeLessThan(SAME);
    expect(laid.onto[5]).toBeCloseTo(1, 5);
  });

  it('and not turned by one limb that is bound otherwise', async () => {
    const bytes = buildGlb('heron', { faults: [faultNamed('neck-in-the-air')] });
    const { scene, laid } = await over(bytes, await approvedOf(buildGlb('heron')));
    if (laid === null) throw new Error('nothing was laid over');
    expect(laid.turned).toBe(0);
    expect(gaps(scene, laid).filter((gap) => gap > SAME)).toHaveLength(1);
  });

  it('unless they share no joints', async () => {
    const bytes = buildGlb('heron');
    const approved = await approvedOf(buildGlb('caterpillar'));
    expect((await over(bytes, approved)).laid).toBeNull();
    const { scene, report } = await drawable(bytes, 'heron.glb', {}, approved);
    expect(scene.rigs[0]?.approved).toBeUndefined();
    const alone = await drawable(bytes);
    // What is found differs; what is drawn of the rig does not.
    expect(drawPictures(scene, report).defs).toBe(drawPictures(alone.scene, alone.report).defs);
  });
});

it('clips of other files pose the joints of their names', async () => {
  const approved = await approvedOf(buildGlb('heron'), { 'clips/wade.glb': skeletonAlone() });
  const { laid } = await over(buildGlb('heron'), approved);
  const [own, other] = laid?.clips ?? [];
  expect([own?.from, other?.from]).toEqual([APPROVED_NAME, 'clips/wade.glb']);
  const posed = (clip: typeof own): string[] =>
    (clip?.tracks ?? []).map(({ node, path }) => `${laid?.nodes[node]?.name} ${path}`).sort();
  expect(posed(own)).toContain('thigh_L rotation');
  expect(posed(other)).toEqual(posed(own));
});

/** A file that holds the clip and the nodes of a heron, in another order and without a skin. */
function skeletonAlone(): Uint8Array {
  const puppet = raisePuppet('heron');
  puppet.joints.push(...puppet.joints.splice(0).toReversed());
  puppet.skinned = false;
  return mainFile(buildPuppet(puppet));
}

it('the sheet says what was laid over, and an asset that is compared with nothing says nothing', async () => {
  const bytes = buildGlb('heron', { faults: [faultNamed('neck-in-the-air')] });
  const compared = await drawable(bytes, 'heron.glb', {}, await approvedOf(buildGlb('heron')));
  const sheet = drawSheet(compared.scene, compared.report);
  expect(sheet).toContain(
    `Dashed: the approved rig &quot;body&quot; of ${APPROVED_NAME}, root on root.`,
  );
  expect(sheet).toContain('bone of the approved rig');
  const alone = await drawable(bytes);
  expect(drawSheet(alone.scene, alone.report)).not.toContain('approved');
});

it('all of the approved rig is in the picture', async () => {
  const bytes = buildGlb('heron', { faults: [faultNamed('neck-in-the-air')] });
  const { scene, report } = await drawable(
    bytes,
    'heron.glb',
    {},
    await approvedOf(buildGlb('heron')),
  );
  const [rig] = scene.rigs;
  if (rig?.approved === undefined) throw new Error('nothing was laid over');
  const far = {
    ...rig.approved,
    places: rig.approved.places.map(([x, y, z]): Vec3 => [x, y + 9, z]),
  };
  const { max } = makeRigShape(0, { ...rig, approved: far }, report.rigs[0]).bounds;
  expect(max[1]).toBeGreaterThan(9);
});

it('only findings about fitting have the approved rig in their picture', async () => {
  const bytes = buildGlb('heron', { faults: [faultNamed('neck-in-the-air')] });
  const { scene, report } = await drawable(
    bytes,
    'heron.glb',
    {},
    await approvedOf(buildGlb('heron')),
  );
  const [finding] = report.findings.filter(({ place }) => place.joint !== null);
  if (finding === undefined) throw new Error('a joint with a finding');
  const lines = (['place.inside', 'fit.length'] as const).map((rule) => {
    const [picture] = drawPictures(scene, { ...report, findings: [{ ...finding, rule }] }).findings;
    return readSvg(picture ?? '').filter((one) => hasClass(one, 'drawing-approved')).length;
  });
  expect(lines).toEqual([0, 1]);
});

it('the lines of an approved rig can be told from paper and from the body, on light and on dark', () => {
  const css = drawingCss(true);
  const colours = (name: string): string[] =>
    [...css.matchAll(new RegExp(`--drawing-${name}:(#[0-9a-f]{6})`, 'g'))].map(
      ([, colour = '']) => colour,
    );
  expect(colours('approved')).toHaveLength(2);
  colours('approved').forEach((line, theme) => {
    for (const ground of ['paper', 'body'])
      expect(contrast(line, colours(ground)[theme] ?? '')).toBeGreaterThan(3);
  });
});

function contrast(a: string, b: string): number {
  const [darker = 0, lighter = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (lighter + 0.05) / (darker + 0.05);
}

function luminance(colour: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const part = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
