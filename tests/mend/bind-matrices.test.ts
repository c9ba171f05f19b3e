import { describe, expect, it, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { turnAbout } from '../../fixtures/kit/turns.js';
import { LARGEST_SHIFT } from '../../src/mend/proof/proof-limits.js';
import { bindMatrices } from '../../src/mend/repairs/bind-matrices.js';
import { modelOf } from '../support/facts-of.js';
import { applyRepair, findingsOf } from './apply-repair.js';

const ALLOWED = { allow: new Set(['skin.bind-matrix']) };

/** The matrices of the sound heron, slot by slot, against those of a file; the largest difference. */
async function offSound(bytes: Uint8Array): Promise<number> {
  const [sound, mended] = await Promise.all([modelOf(buildGlb('heron')), modelOf(bytes)]);
  const [a, b] = [sound, mended].map((model) => model.rigs[0]?.skins[0]?.inverseBind);
  return Math.max(...Array.from(a ?? [], (value, at) => Math.abs(value - (b?.[at] ?? NaN))));
}

/** Metres: a matrix worked out from 32-bit transforms of a few joints. */
const ROUNDING = 1e-5;

describe('of a joint that moves no skin', () => {
  test.each([
    ['flat-bind-matrix', '1 inverse bind matrix missing or unusable'],
    ['bind-matrix-not-a-number', '1 inverse bind matrix missing or unusable'],
    ['bind-matrix-last-row', '1 inverse bind matrix with a last row other than 0 0 0 1'],
  ])('%s is mended to what it was, and nothing is seen of it', async (name, before) => {
    const fault = faultNamed(name);
    const mended = await applyRepair(buildGlb(fault.puppet, { faults: [fault] }), bindMatrices);
    expect(mended.left).toEqual([]);
    expect(mended.seen).toEqual([]);
    expect(mended.changes.map((change) => change.before)).toEqual([before]);
    expect(mended.shift).toBeLessThan(LARGEST_SHIFT);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(await offSound(mended.bytes)).toBeLessThan(ROUNDING);
  });

  it('one is made as the joint above is bound, where the rig is stored in another pose', async () => {
    const puppet = raisePuppet('heron');
    puppet.clips.splice(0);
    puppet.joint('head').restTurn = turnAbout([1, 0, 0], 20);
    puppet.joint('beak_tip').editBindMatrix = (matrix) => matrix.map(() => 0);
    const mended = await applyRepair(mainFile(buildPuppet(puppet)), bindMatrices);
    expect(mended.changes).toHaveLength(1);
    expect(await offSound(mended.bytes)).toBeLessThan(ROUNDING);
  });

  it('one is mended although vertices name it, by no weight', async () => {
    const puppet = raisePuppet('marionette');
    puppet.joint('carrier').editBindMatrix = (matrix) => matrix.map(() => 0);
    const bytes = mainFile(buildPuppet(puppet));
    const [rig] = (await modelOf(bytes)).rigs;
    // What fills up the room of a vertex names the first joint.
    expect(rig?.joints.names[rig.skins[0]?.jointOfSlot[0] ?? -1]).toBe('carrier');
    const mended = await applyRepair(bytes, bindMatrices);
    expect(mended.changes).toHaveLength(1);
    expect(await findingsOf(mended.bytes)).toEqual([]);
  });

  it('one that is missing is added', async () => {
    const fault = faultNamed('too-few-bind-matrices');
    const mended = await applyRepair(buildGlb(fault.puppet, { faults: [fault] }), bindMatrices);
    expect(mended.changes.map(({ after }) => after)).toEqual([
      'made from where the joints are stored',
    ]);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    const skin = (await modelOf(mended.bytes)).rigs[0]?.skins[0];
    expect(skin?.matrixCount).toBe(skin?.jointOfSlot.length);
  });
});

describe('of a joint that moves skin', () => {
  /** The heron, with a matrix of its neck made another. */
  function withNeck(edit: (matrix: readonly number[]) => readonly number[]): Uint8Array {
    const puppet = raisePuppet('heron');
    puppet.joint('neck_mid').editBindMatrix = edit;
    return mainFile(buildPuppet(puppet));
  }

  const flat = withNeck((matrix) => matrix.map((value, at) => (at < 4 ? 0 : value)));
  const noNumber = withNeck((matrix) => matrix.map((value, at) => (at === 12 ? NaN : value)));

  it.each([
    ['flat', flat, /elsewhere \(limit 0\.0005 %\); bind the mesh again, or add --allow-change/],
    ['not a number', noNumber, /has no place now and gets one/],
  ])('one that is %s is left alone, and told why', async (_, bytes, why) => {
    const mended = await applyRepair(bytes, bindMatrices);
    expect(mended.changes).toEqual([]);
    expect(mended.left.map((each) => each.why)).toEqual([expect.stringMatching(why)]);
    expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
  });

  it.each([
    ['flat', flat],
    ['not a number', noNumber],
  ])('one that is %s is made from the stored pose where that is allowed', async (_, bytes) => {
    const mended = await applyRepair(bytes, bindMatrices, ALLOWED);
    expect(mended.seen).toEqual(['skin.bind-matrix']);
    expect(Number.isFinite(mended.shift)).toBe(true);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(await offSound(mended.bytes)).toBeLessThan(ROUNDING);
  });
});
