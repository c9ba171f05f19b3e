import { describe, expect, test } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import { shiftSkin } from '../../../fixtures/kit/changes.js';
import { chainSkin, straightChain, type TubeSpan } from '../../support/chain-skin.js';
import { findingsOf } from '../../support/findings-of.js';
import { tinyGlb } from '../../support/tiny-rig.js';

/** What is told of a straight chain of four bones of 1: level and measure. */
async function told(spans: readonly TubeSpan[]) {
  const { findings } = await findingsOf(
    tinyGlb(straightChain([1, 1, 1, 1]), chainSkin(spans)),
    'skin.shift',
  );
  return findings.map(({ level, measured }) => [level, Math.round(measured ?? 0)]);
}

const right = (joint: number): TubeSpan => [joint, joint, joint + 1];
const back = (joint: number): TubeSpan => [joint, joint - 1, joint];

describe('how many in a row', () => {
  test('one joint off its skin is no slip of the chain', async () => {
    expect(await told([right(0), back(1), right(2), right(3)])).toEqual([]);
    expect(await told([back(0), right(1), back(2), right(3)])).toEqual([]);
  });

  test('two give a warning, three an error', async () => {
    expect(await told([right(0), back(1), back(2), right(3)])).toEqual([['warning', 100]]);
    expect(await told([right(0), back(1), back(2), back(3)])).toEqual([['error', 100]]);
  });

  test('two in each of two limbs give one error', async () => {
    const puppet = raisePuppet('stag-beetle');
    for (const side of ['L', 'R'])
      shiftSkin(
        puppet,
        [1, 2, 3, 'tip'].map((part) => `leg_fore_${part}_${side}`),
        0.9,
      );
    const { findings } = await findingsOf(mainFile(buildPuppet(puppet)), 'skin.shift');
    expect(findings.map(({ level, places }) => [level, places?.length])).toEqual([['error', 4]]);
  });

  test('two off to opposite sides are not one slip', async () => {
    expect(await told([right(0), [1, 0, 1], [2, 3, 4], right(3)])).toEqual([]);
  });

  test('40 % is the limit outward, and 70 % towards the root', async () => {
    const by = (share: number) =>
      [0, 1, 2].map((joint): TubeSpan => [joint, joint + share, joint + 1 + share]);
    expect(await told([...by(0.39), right(3)])).toEqual([]);
    expect(await told([...by(0.41), right(3)])).toEqual([['error', 41]]);
    expect(await told([...by(-0.69), right(3)])).toEqual([]);
    expect(await told([...by(-0.71), right(3)])).toEqual([['error', 71]]);
  });

  test('a ring of skin about each joint passes', async () => {
    const rings = [0, 1, 2, 3, 4].map((joint): TubeSpan => [joint, joint - 0.5, joint + 0.5]);
    expect(await told(rings)).toEqual([]);
  });
});

describe('the words', () => {
  test('name the joint, how far, which way, beside which bone, and whose skin goes where', async () => {
    const fault = faultNamed('neck-one-joint-out');
    const puppet = raisePuppet(fault.puppet, { faults: [fault] });
    const { findings } = await findingsOf(mainFile(buildPuppet(puppet)), 'skin.shift');
    expect(findings).toHaveLength(1);
    expect(findings[0]?.message).toMatch(
      /^The skin that "neck_bend" moves lies [\d.]+ % of a bone too far towards the root, beside the bone of "neck_low" \(limit 70 %\); the same is true of "neck_mid", "neck_high", "head"\.$/,
    );
    expect(findings[0]?.remedy).toBe(
      'Give the skin beside each bone to the joint at which that bone begins: from "neck_bend" to "neck_low", from "neck_mid" to "neck_bend", from "neck_high" to "neck_mid", from "head" to "neck_high", from "beak_tip" to "head".',
    );
  });

  test('tell of skin too far outward from the end back, so that none is taken twice', async () => {
    const puppet = raisePuppet('heron');
    shiftSkin(puppet, ['head', 'neck_high', 'neck_mid', 'neck_bend', 'neck_low'], 0.95);
    const { findings } = await findingsOf(mainFile(buildPuppet(puppet)), 'skin.shift');
    expect(findings.map(({ message }) => message)).toEqual([
      expect.stringMatching(/of a bone too far outward, beside the bone of/),
    ]);
    expect(findings[0]?.remedy).toMatch(
      /: from "neck_high" to "head", from "neck_mid" to "neck_high", from "neck_bend" to "neck_mid"/,
    );
  });
});

test('a row goes on over a joint that branches', async () => {
  const puppet = raisePuppet('mule');
  // From the trunk back to the tail: the croup carries the hind legs as well.
  const run = ['trunk', 'loin', 'croup', 'tail_root', 'tail_high', 'tail_mid', 'tail_low'];
  shiftSkin(puppet, [...run, 'tail_tip'], 1);
  const { findings } = await findingsOf(mainFile(buildPuppet(puppet)), 'skin.shift');
  const names = findings[0]?.places?.map(({ name }) => name);
  expect(names).toEqual(['loin', 'croup', 'tail_root', 'tail_high', 'tail_mid', 'tail_low']);
});

test('the skin of a joint that branches can lie beside the bone to any of its children', async () => {
  // The trunk holds the skin towards the withers, and its bone towards the loin is no fault of it.
  const puppet = raisePuppet('mule');
  const run = ['croup', 'tail_root', 'tail_high', 'tail_mid', 'tail_low', 'tail_tip'];
  shiftSkin(puppet, run, 1);
  const { findings } = await findingsOf(mainFile(buildPuppet(puppet)), 'skin.shift');
  const names = findings[0]?.places?.map(({ name }) => name);
  expect(names).toEqual(['tail_root', 'tail_high', 'tail_mid', 'tail_low']);
});

test('a limb laid backwards with its old skin is told as that alone', async () => {
  const hung = faultNamed('forelegs-hung-by-the-hoof');
  const sound = raisePuppet('mule');
  const puppet = raisePuppet('mule', { faults: [hung] });
  // The joints as they hang now, the skin as it was painted before.
  puppet.parts.splice(0, puppet.parts.length, ...sound.parts);
  const bytes = mainFile(buildPuppet(puppet));
  const { findings } = await findingsOf(bytes, 'skin.shift');
  expect(findings).toEqual([]);
  const { findings: backwards } = await findingsOf(bytes, 'chain.direction');
  expect(backwards).toHaveLength(1);
});

test('skin above the topmost joint is told without a joint to give it to', async () => {
  // Links 0 and 1 both hold skin above the chain, where no joint is.
  const { findings } = await findingsOf(
    tinyGlb(straightChain([1, 1, 1, 1]), chainSkin([[0, -2, -1], [1, -1, 0], right(2), right(3)])),
    'skin.shift',
  );
  expect(findings.map(({ remedy }) => remedy)).toEqual([
    'Give the skin beside each bone to the joint at which that bone begins.',
  ]);
});
