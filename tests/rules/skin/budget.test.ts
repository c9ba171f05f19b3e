import { describe, expect, test } from 'vitest';
import { build, buildPuppet, mainFile, raisePuppet, toGltfJson } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import type { BuildOptions } from '../../../fixtures/kit/options.js';
import { findingsOf, withLimit } from '../../support/findings-of.js';

const crowdedNeck = faultNamed('crowded-neck');

const check = (amount: number, change = {}, options: BuildOptions = {}) => {
  const faults = [{ fault: crowdedNeck, amount }];
  return findingsOf(mainFile(build('mule', { ...options, faults })), 'skin.budget', change);
};

/** The joints that the mule's skin lists, by the file itself. */
const JOINTS = toGltfJson('mule').skins?.[0]?.joints.length ?? 0;

describe('influences on a vertex', () => {
  test('over four are told once a primitive, with the vertices', async () => {
    const { findings, measured } = await check(5);
    expect(
      findings.map(({ level, counts, measured: most, limit, vertices }) => [
        level,
        counts?.short,
        most,
        limit,
        vertices.length,
      ]),
    ).toEqual([['note', 3, 5, 4, 3]]);
    expect(findings[0]?.message).toMatch(
      /^3 of \d+ vertices of ".+" are moved by more than 4 joints, up to 5 /,
    );
    expect(measured).toMatchObject([{ kind: 'judged', short: 3, of: 'vertices' }]);
  });

  test.each(['float', 'u8', 'u16'] as const)(
    'are counted as %s weights over both sets',
    async (weights) => {
      expect((await check(5, {}, { weights })).findings).toHaveLength(1);
      expect((await check(4, {}, { weights })).findings).toEqual([]);
    },
  );

  test('are told once where two primitives share their vertices', async () => {
    const puppet = raisePuppet('mule', { faults: [crowdedNeck] });
    puppet.edits.push((json) => {
      const primitives = json.meshes?.[0]?.primitives ?? [];
      primitives.push(...primitives);
    });
    const { findings, measured } = await findingsOf(mainFile(buildPuppet(puppet)), 'skin.budget');
    expect(findings.map(({ counts }) => counts?.short)).toEqual([3]);
    expect(measured).toMatchObject([{ short: 3 }]);
  });

  test('are held to what the standard allows', async () => {
    expect((await check(5, withLimit('skin.budget', { influences: 5 }))).findings).toEqual([]);
    const two = await check(3, withLimit('skin.budget', { influences: 2 }));
    expect(two.findings.map(({ measured, counts }) => [measured, counts?.short])).toEqual([[3, 3]]);
  });
});

describe('joints of a skin', () => {
  test('have no limit of their own', async () => {
    expect((await check(0)).findings).toEqual([]);
  });

  test('are told over the limit of a standard, and not at it', async () => {
    expect((await check(0, withLimit('skin.budget', { joints: JOINTS }))).findings).toEqual([]);
    const { findings } = await check(0, withLimit('skin.budget', { joints: JOINTS - 1 }));
    expect(
      findings.map(({ place, measured, limit }) => [place.kind, place.pointer, measured, limit]),
    ).toEqual([['skin', '/skins/0', JOINTS, JOINTS - 1]]);
    expect(findings[0]?.message).toBe(`The skin lists ${JOINTS} joints (limit ${JOINTS - 1}).`);
  });

  test('and influences are told beside each other', async () => {
    const { findings } = await check(5, withLimit('skin.budget', { joints: 3 }));
    expect(findings.map(({ place }) => place.kind).sort()).toEqual(['mesh', 'skin']);
  });
});
