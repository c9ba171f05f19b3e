import { expect, test } from 'vitest';
import { cards } from '../../support/cards.js';
import { findingsOf, pathsOf, withLimit } from '../../support/findings-of.js';
import { type TinyJoint, tinyGlb } from '../../support/tiny-rig.js';

/** A carrier, hips and a chest; joints of a list hung on the chest, each on the one before. */
function rig(...chains: readonly (readonly string[])[]): TinyJoint[] {
  const list: TinyJoint[] = [
    { name: 'ground', parent: -1, at: [0, 0, 0] },
    { name: 'hips', parent: 0, at: [0, 1, 0] },
    { name: 'chest', parent: 1, at: [0, 2, 0] },
  ];
  for (const chain of chains) {
    chain.forEach((name, k) => {
      list.push({ name, parent: k === 0 ? 2 : list.length - 1, at: [0.3, 2 + 0.3 * k, 0] });
    });
  }
  return list;
}

const skin = cards([
  { at: [0, 1, 0], by: [[1, 1]] },
  { at: [0, 2, 0], by: [[2, 1]] },
]);

const check = (joints: readonly TinyJoint[], change = {}) =>
  findingsOf(tinyGlb(joints, skin), 'skin.idle', change);

test('a branch that moves nothing is told once, at its top', async () => {
  const { findings, measured } = await check(rig(['hook', 'ring', 'chain', 'tassel']));
  expect(findings.map(({ place, counts, level }) => [place.path, counts, level])).toEqual([
    ['ground/hips/chest/hook', { looked: 6, short: 3 }, 'note'],
  ]);
  expect(findings[0]?.message).toBe(
    '"hook", "ring", "chain" move no vertex, nor does anything that hangs on them (3 such joints in the rig, none is allowed).',
  );
  expect(measured).toMatchObject([{ kind: 'judged', looked: 6, short: 3 }]);
});

test('two branches are one finding, which lists their joints', async () => {
  const said = await check(rig(['hook', 'ring'], ['peg', 'cord', 'bell']));
  expect(pathsOf(said)).toEqual(['ground/hips/chest/hook']);
  expect(said.findings[0]?.places.map(({ path }) => path)).toEqual([
    'ground/hips/chest/hook',
    'ground/hips/chest/peg',
    'ground/hips/chest/peg/cord',
  ]);
  expect(said.findings.map(({ counts }) => counts?.short)).toEqual([3]);
});

test('an end joint that moves nothing is not told, nor a carrier above the body', async () => {
  const { findings, measured } = await check(rig(['hook'], ['peg']));
  expect(findings).toEqual([]);
  expect(measured).toMatchObject([{ kind: 'judged', looked: 3, short: 0 }]);
});

test('the limit of a standard counts all such joints of the rig', async () => {
  const joints = rig(['hook', 'ring'], ['peg', 'cord', 'bell']);
  expect((await check(joints, withLimit('skin.idle', { joints: 3 }))).findings).toEqual([]);
  expect((await check(joints, withLimit('skin.idle', { joints: 2 }))).findings).toHaveLength(1);
});

test('without a mesh nothing is judged', async () => {
  const { measured } = await findingsOf(tinyGlb(rig(['hook', 'ring']), null), 'skin.idle');
  expect(measured).toMatchObject([{ because: 'no mesh uses the skin' }]);
});
