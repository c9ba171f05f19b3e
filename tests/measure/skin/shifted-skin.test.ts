import { expect, test } from 'vitest';
import { skinAlongChains } from '../../../src/measure/skin/shifted-skin.js';
import type { TubeSpan } from '../../support/chain-skin.js';
import { chainSkin, straightChain } from '../../support/chain-skin.js';
import { factsOf } from '../../support/facts-of.js';
import { tinyGlb } from '../../support/tiny-rig.js';

/** Where the skin of each joint of a straight chain along X lies: joint, beside, bones off. */
async function along(lengths: readonly number[], spans: readonly TubeSpan[]) {
  const facts = await factsOf(tinyGlb(straightChain(lengths), chainSkin(spans)));
  return skinAlongChains(facts).map((row) =>
    row.map(({ joint, beside, by }) => [joint, beside, Math.round(1000 * by) / 1000]),
  );
}

/** Three bones of 1, and an end joint: their joints stand at 0, 1, 2 and 3. */
const even = [1, 1, 1];

// By hand: the middle of a span less the middle of the joint's own bone, in bones.
test('skin beside its own bone is not off', async () => {
  const spans: TubeSpan[] = [
    [0, 0, 1],
    [1, 1, 2],
    [2, 2, 3],
  ];
  expect(await along(even, spans)).toEqual([
    [
      [0, 0, 0],
      [1, 1, 0],
      [2, 2, 0],
    ],
  ]);
});

test('skin beside the bone before is one bone off towards the root, the bone after outward', async () => {
  const back: TubeSpan[] = [
    [0, -1, 0],
    [1, 0, 1],
    [2, 1, 2],
    [3, 2, 3],
  ];
  expect(await along(even, back)).toEqual([
    [
      [0, -1, -1],
      [1, 0, -1],
      [2, 1, -1],
    ],
  ]);
  const out: TubeSpan[] = [
    [0, 1, 2],
    [1, 2, 3],
    [2, 3, 4],
  ];
  expect(await along(even, out)).toEqual([
    [
      [0, 1, 1],
      [1, 2, 1],
      [2, 3, 1],
    ],
  ]);
});

test('a ring of skin about each joint is half a bone off', async () => {
  const rings: TubeSpan[] = [
    [0, -0.5, 0.5],
    [1, 0.5, 1.5],
    [2, 1.5, 2.5],
    [3, 2.5, 3.5],
  ];
  expect(await along(even, rings)).toEqual([
    [
      [0, 0, -0.5],
      [1, 1, -0.5],
      [2, 2, -0.5],
    ],
  ]);
});

test('bones of other lengths count by the mean of the two', async () => {
  // Joints at 0, 1, 4 and 5. Joint 1 (bone 1 to 4) has the skin from 0 to 1: 2.5 - 0.5 = 2 = (3 + 1) / 2.
  const spans: TubeSpan[] = [
    [0, 0, 1],
    [1, 0, 1],
    [2, 1, 4],
    [3, 4, 5],
  ];
  expect(await along([1, 3, 1], spans)).toEqual([
    [
      [0, 0, 0],
      [1, 0, -1],
      [2, 1, -1],
    ],
  ]);
});

test('a joint that moves no skin ends a row', async () => {
  const spans: TubeSpan[] = [
    [0, 0, 1],
    [2, 2, 3],
  ];
  expect(await along(even, spans)).toEqual([[[0, 0, 0]], [[2, 2, 0]]]);
});

test('skin more than four bones along is another matter', async () => {
  const lengths = [1, 1, 1, 1, 1, 1, 1];
  const spans = lengths.map((_, i): TubeSpan => [i, i, i + 1]);
  const moved = (to: number): TubeSpan[] => [[0, to, to + 1], ...spans.slice(1)];
  expect((await along(lengths, moved(4)))[0]?.[0]).toEqual([0, 4, 4]);
  expect((await along(lengths, moved(5)))[0]?.[0]).toEqual([1, 1, 0]);
});

test('nothing of a rig without a mesh', async () => {
  const facts = await factsOf(tinyGlb(straightChain(even), null));
  expect(skinAlongChains(facts)).toEqual([]);
});
