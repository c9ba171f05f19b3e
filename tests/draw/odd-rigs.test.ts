import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../fixtures/kit/vectors.js';
import { drawPictures } from '../../src/draw/pictures.js';
import { drawSheet } from '../../src/draw/sheet.js';
import { bigRig } from '../bench/big-rig.js';
import { chainJoints, tinyGlb, tubeSkin } from '../support/tiny-rig.js';
import { drawable, hasClass, numbersIn, readSvg } from './drawn.js';

function chain(scale: number): Vec3[] {
  return [0, 1, 2, 3].map((y): Vec3 => [0, y * scale, 0]);
}

function tube(scale: number): Uint8Array {
  const points = chain(scale);
  return tinyGlb(chainJoints(points), tubeSkin(points, 0.3 * scale, [0, 0, 1]));
}

/** Most picture units that a coordinate may have: a sheet is 1200 wide. */
const FARTHEST = 4000;

const CASES: Readonly<Record<string, () => Uint8Array>> = {
  'a rig without a mesh': () => tinyGlb(chainJoints(chain(1)), null),
  'a single joint': () => tinyGlb(chainJoints([[3, 4, 5]]), null),
  'a thousand joints': () => bigRig({ vertices: 4000, joints: 1001, keys: 0, textureBytes: 0 }),
  'a rig of a millionth of a metre': () => tube(1e-6),
  'a rig of a million metres': () => tube(1e6),
  'two joints in one place': () =>
    tinyGlb(
      chainJoints([
        [0, 0, 0],
        [0, 0, 0],
      ]),
      null,
    ),
};

describe.each(Object.entries(CASES))('%s', (_, make) => {
  it('is drawn with every joint, all coordinates numbers within the sheet', async () => {
    const { scene, report } = await drawable(make());
    const pictures = drawPictures(scene, report);
    const sheet = readSvg(drawSheet(scene, report));
    const joints = scene.rigs.reduce((sum, rig) => sum + rig.jointNodes.length, 0);
    expect(joints).toBeGreaterThan(0);
    const dots = sheet.filter(({ attributes }) => attributes['data-joint'] !== undefined);
    expect(dots).toHaveLength(3 * joints);
    const page = readSvg(
      `<p>${[...pictures.sheets, ...pictures.findings, pictures.silhouette].join('')}</p>`,
    );
    const numbers = numbersIn([...sheet, ...page]);
    expect(numbers.length).toBeGreaterThan(0);
    expect(numbers.filter((number) => !(Math.abs(Number(number)) < FARTHEST))).toEqual([]);
    expect(Buffer.byteLength(pictures.silhouette)).toBeLessThanOrEqual(6 * 1024);
  });
});

it('a rig looks the same whatever its unit', async () => {
  const [small, large] = await Promise.all([tube(1e-6), tube(1e6)].map((bytes) => drawable(bytes)));
  if (small === undefined || large === undefined) throw new Error('two rigs');
  const dotsOf = ({ scene, report }: typeof small): (string | undefined)[] =>
    readSvg(drawSheet(scene, report))
      .filter(({ attributes }) => attributes['data-joint'] !== undefined)
      .flatMap(({ attributes }) => [attributes.cx, attributes.cy]);
  expect(dotsOf(small)).toEqual(dotsOf(large));
  expect(new Set(dotsOf(small)).size).toBeGreaterThan(4);
});

it('an asset without a rig says so', async () => {
  const bytes = tinyGlb(chainJoints(chain(1)), null, (json) => {
    delete json.skins;
  });
  const { scene, report } = await drawable(bytes);
  const texts = readSvg(drawSheet(scene, report)).map(({ text }) => text);
  expect(scene.rigs).toEqual([]);
  expect(texts).toContain('There is no rig to draw.');
  expect(texts).toContain('note file.no-skin');
});

it('a joint that moves no skin is drawn hollow, the others are not', async () => {
  const points = chain(1);
  const skin = tubeSkin(points, 0.3, [0, 0, 1]);
  const joints = [...chainJoints(points), { name: 'hook', parent: 0, at: [1, 0, 0] as const }];
  const { scene, report } = await drawable(tinyGlb(joints, skin));
  const dots = readSvg(drawSheet(scene, report)).filter(
    ({ attributes }) => attributes['data-joint'] !== undefined,
  );
  const hollow = dots.filter((dot) => hasClass(dot, 'drawing-hollow'));
  const hook = report.rigs[0]?.joints.findIndex(({ name }) => name === 'hook');
  expect(new Set(hollow.map(({ attributes }) => attributes['data-joint']))).toEqual(
    new Set([String(hook)]),
  );
});
