// Source: three.js (npm `three`) for where nodes stand at rest and in clips, see `worlds-in-three.ts`; the
// mend itself is held to glTF 2.0, 3.5.3 Transformations and 3.7.3 Skins.
import { expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { insertOnBone } from '../../fixtures/kit/changes.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { turnAbout } from '../../fixtures/kit/turns.js';
import { spacers } from '../../src/mend/repairs/spacers.js';
import { splitGlb } from '../fixtures/read-back.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { dressed, hangProps } from './dressed.js';
import { farthestInThree } from './worlds-in-three.js';

/** What a mend may move. Share of size, and entries of world matrices of figures of some metres. */
const SAME = 1e-5;

const STAYS = 'it is at zero already; the node itself stays, because clips and programs may use it';

/** Two spacers in a row, moved, turned and scaled. */
function row(puppet: Puppet): void {
  const metres = puppet.boneLength('neck_mid') / 3;
  const upper = insertOnBone(puppet, 'hook', 'neck_mid', 'neck_high', metres, false);
  upper.rotation = turnAbout([0, 0.6, 0.8], 50);
  upper.scale = [2, 2, 2];
  const lower = insertOnBone(puppet, 'ring', 'hook', 'neck_high', metres, false);
  lower.rotation = turnAbout([1, 0, 0], -30);
}

test('neck-spacer is emptied: the node stays and is still told, and a second mend leaves it alone', async () => {
  const fault = faultNamed('neck-spacer');
  const bytes = buildGlb(fault.puppet, { faults: [fault] });
  const mended = await applyRepair(bytes, spacers);
  expect([mended.changes.length, mended.left]).toEqual([1, []]);
  expect(mended.shift).toBeLessThan(SAME);
  const node = splitGlb(mended.bytes).json.nodes.find(({ name }) => name === 'neck_spacer');
  expect([node?.translation, node?.rotation, node?.scale]).toEqual([
    undefined,
    undefined,
    undefined,
  ]);
  expect(await findingsOf(mended.bytes)).toEqual(['chain.spacer neck_spacer']);
  const twice = await applyRepair(mended.bytes, spacers);
  expect([twice.changes, twice.left.map(({ why }) => why)]).toEqual([[], [STAYS]]);
  expect(Buffer.compare(twice.bytes, mended.bytes)).toBe(0);
});

test('spacers in a row are emptied, and what hangs on them stays', async () => {
  const bytes = dressed('heron', row, (dresser) => {
    hangProps(dresser, 'hook');
    const spline = Float32Array.from([0, 0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 1, 1, 0, 0, 0]);
    const output = dresser.accessor(spline, 'VEC3');
    dresser.key(dresser.named('neck_high'), 'translation', [0, 1], output, 'CUBICSPLINE');
  });
  const mended = await applyRepair(bytes, spacers);
  expect([mended.changes.length, mended.left]).toEqual([2, []]);
  expect(mended.shift).toBeLessThan(SAME);
  const isProp = (name: string): boolean => name.startsWith('prop');
  expect(await farthestInThree(bytes, mended.bytes, isProp)).toBeLessThan(SAME);
  const rest = (await findingsOf(bytes)).filter((line) => line !== 'scale.unit hook');
  expect(await findingsOf(mended.bytes)).toEqual(rest);
  expect(rest).toContain('chain.spacer hook');
});

test('a spacer that a clip moves is left alone with a word, and takes what the one above hands it', async () => {
  const bytes = dressed('heron', row, (dresser) => {
    const [clip] = dresser.json.animations ?? [];
    if (clip !== undefined) clip.name = 'nod';
    const turns = Float32Array.of(0, 0, 0, 1, 0, 0.6, 0, 0.8);
    const output = dresser.accessor(turns, 'VEC4');
    dresser.key(dresser.named('ring'), 'rotation', [0, 1], output, 'LINEAR');
  });
  const mended = await applyRepair(bytes, spacers);
  expect(mended.changes).toHaveLength(1);
  expect(mended.left.map(({ why }) => why)).toEqual(['it is moved by the clip "nod"']);
  expect(mended.shift).toBeLessThan(SAME);
});

test('a spacer whose scale nothing below can take keeps that alone, and is then left alone', async () => {
  const bytes = dressed('heron', row, (dresser) => {
    dresser.node('neck_high').mesh = dresser.plainMesh();
  });
  const mended = await applyRepair(bytes, spacers);
  expect(mended.changes.map(({ after }) => after)).toEqual([
    'at zero, but still scaled by 2; the node itself stays, and so does the finding',
    'at zero; the node itself stays, and so does the finding',
  ]);
  expect(mended.shift).toBeLessThan(SAME);
  const isMesh = (name: string): boolean => name === 'neck_high';
  expect(await farthestInThree(bytes, mended.bytes, isMesh)).toBeLessThan(SAME);
  const twice = await applyRepair(mended.bytes, spacers);
  expect([twice.changes, twice.left.length]).toEqual([[], 2]);
  expect(Buffer.compare(twice.bytes, mended.bytes)).toBe(0);
});
