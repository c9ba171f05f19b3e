// Source: three.js (npm `three`) for where nodes stand at rest and in clips, see `worlds-in-three.ts`; the
// mend itself is held to glTF 2.0, 3.5.3 Transformations and 3.7.3 Skins.
import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faults } from '../../fixtures/faults/index.js';
import { holderOf, insertOnBone } from '../../fixtures/kit/changes.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { scaleUnit } from '../../src/mend/repairs/scale-unit.js';
import { splitGlb } from '../fixtures/read-back.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { type Dresser, dressed, hangProps } from './dressed.js';
import { farthestSkin } from './skins-in-three.js';
import { farthestInThree } from './worlds-in-three.js';

/** What a mend may move. Share of size, and entries of world matrices of figures of some metres. */
const SAME = 1e-5;

const still = (): void => undefined;
const isProp = (name: string): boolean => name.startsWith('prop');

/** Three scales above each other: the stage, the root joint and a joint of the neck. */
function grown(puppet: Puppet): void {
  holderOf(puppet).scale = [0.01, 0.01, 0.01];
  const root = puppet.joints.find(({ parent }) => parent === null);
  if (root !== undefined) root.scale = [25, 25, 25];
  puppet.joint('neck_mid').scale = [1.5, 1.5, 1.5];
}

describe.each(faults.filter(({ rule }) => rule === 'scale.unit'))('$name', (fault) => {
  const bytes = buildGlb(fault.puppet, { faults: [fault] });

  test('is mended without a finding in its place, and moves nothing', async () => {
    const before = await findingsOf(bytes);
    expect(before.filter((line) => line.startsWith('scale.unit'))).toHaveLength(1);
    const mended = await applyRepair(bytes, scaleUnit);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    const listed = fault.name === 'grown-segments' ? 3 : 1;
    expect([mended.changes.length, mended.left]).toEqual([listed, []]);
    expect(mended.shift).toBeLessThan(SAME);
  });

  test('is mended once: again changes no byte', async () => {
    const once = await applyRepair(bytes, scaleUnit);
    const twice = await applyRepair(once.bytes, scaleUnit);
    expect(twice.changes).toEqual([]);
    expect(Buffer.compare(twice.bytes, once.bytes)).toBe(0);
  });
});

describe('scales above each other', () => {
  test('are all taken off, with what they were', async () => {
    const mended = await applyRepair(dressed('heron', grown), scaleUnit);
    expect(mended.changes.map(({ before, after }) => [before, after])).toEqual([
      ['scaled by 0.01', 'scaled by 1; the places below it now have the factor 0.01'],
      ['scaled by 25', 'scaled by 1; the places below it now have the factor 25'],
      ['scaled by 1.5', 'scaled by 1; the places below it now have the factor 1.5'],
    ]);
    expect(splitGlb(mended.bytes).json.nodes.filter(({ scale }) => scale !== undefined)).toEqual(
      [],
    );
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(mended.shift).toBeLessThan(SAME);
  });

  test.each(['stage', 'neck_mid', 'neck_high'])(
    'leave props below %s as they look',
    async (place) => {
      const bytes = dressed('heron', grown, (dresser) => hangProps(dresser, place));
      const mended = await applyRepair(bytes, scaleUnit);
      expect([mended.changes.length, mended.left]).toEqual([3, []]);
      expect(await farthestInThree(bytes, mended.bytes, isProp)).toBeLessThan(SAME);
      expect(mended.shift).toBeLessThan(SAME);
    },
  );

  test('are taken out of keys of travel and of cubic splines, so that a clip goes where it went', async () => {
    const bytes = dressed('heron', grown, (dresser) => {
      const spline = [0, 0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 1, 1, 0, 0, 0];
      for (const name of ['neck_mid', 'neck_high']) {
        const output = dresser.accessor(Float32Array.from(spline), 'VEC3');
        dresser.key(dresser.named(name), 'translation', [0, 1], output, 'CUBICSPLINE');
      }
      const scales = dresser.accessor(Float32Array.of(1, 1, 1, 2, 3, 4), 'VEC3');
      dresser.key(dresser.named('neck_high'), 'scale', [0, 1], scales, 'LINEAR');
    });
    const mended = await applyRepair(bytes, scaleUnit);
    expect([mended.changes.length, mended.left]).toEqual([3, []]);
    expect(mended.shift).toBeLessThan(SAME);
  });

  test('are taken out of keys that only repeat them', async () => {
    const bytes = dressed('heron', grown, (dresser) => {
      const scales = dresser.accessor(Float32Array.of(1.5, 1.5, 1.5, 1.5, 1.5, 1.5), 'VEC3');
      dresser.key(dresser.named('neck_mid'), 'scale', [0, 1], scales, 'LINEAR');
    });
    const mended = await applyRepair(bytes, scaleUnit);
    expect([mended.changes.length, mended.left]).toEqual([3, []]);
    expect(mended.shift).toBeLessThan(SAME);
    expect(await findingsOf(mended.bytes)).toEqual([]);
  });

  test('pass a spacer, which takes none of them on', async () => {
    const bytes = dressed('heron', (puppet) => {
      grown(puppet);
      const metres = puppet.boneLength('neck_mid') / 2;
      insertOnBone(puppet, 'hook', 'neck_mid', 'neck_high', metres, false);
    });
    const mended = await applyRepair(bytes, scaleUnit);
    expect(await findingsOf(mended.bytes)).toEqual(['chain.spacer hook']);
    expect(mended.shift).toBeLessThan(SAME);
  });
});

test.each(['LINEAR', 'CUBICSPLINE'] as const)(
  'a scale that %s keys of a clip change is taken off the keys, too, and three.js shows the same',
  async (interpolation) => {
    const change = (puppet: Puppet): void => {
      puppet.joint('neck_mid').scale = [1.5, 1.5, 1.5];
    };
    const keys = [1.5, 1.5, 1.5, 2, 1.8, 2];
    const spline = [0.1, 0, 0, 1.5, 1.5, 1.5, 0, 0.2, 0, 0, 0, 0.3, 2, 1.8, 2, 0, 0, 0];
    const bytes = dressed('heron', change, (dresser) => {
      const values = Float32Array.from(interpolation === 'LINEAR' ? keys : spline);
      const output = dresser.accessor(values, 'VEC3');
      dresser.key(dresser.named('neck_mid'), 'scale', [0, 1], output, interpolation);
    });
    const mended = await applyRepair(bytes, scaleUnit);
    expect([mended.changes.length, mended.left]).toEqual([1, []]);
    expect(await findingsOf(mended.bytes)).toEqual(['scale.animated neck_mid']);
    expect(await farthestSkin(bytes, mended.bytes)).toBeLessThan(SAME);
  },
);

describe('a scale is left alone with a word', () => {
  test.each([
    [
      'of a joint that carries a mesh',
      (dresser: Dresser) => {
        dresser.node('neck_mid').mesh = dresser.plainMesh();
      },
      'it carries a mesh that no skin moves, which would look different; move that to a separate node below it',
    ],
    [
      'above a joint that carries a camera',
      (dresser: Dresser) => {
        dresser.json.cameras = [{ type: 'perspective', perspective: { yfov: 1, znear: 0.1 } }];
        dresser.node('neck_high').camera = 0;
      },
      '"neck_high", below it, carries a camera, which would look different; move that to a separate node below it',
    ],
  ])('%s', async (_title, dress, why) => {
    const change = (puppet: Puppet): void => {
      puppet.joint('neck_mid').scale = [1.5, 1.5, 1.5];
    };
    const bytes = dressed('heron', change, dress);
    const mended = await applyRepair(bytes, scaleUnit);
    expect(mended.left.map((item) => item.why)).toEqual([why]);
    expect(mended.changes).toEqual([]);
    expect(splitGlb(mended.bytes).json).toEqual(splitGlb(bytes).json);
  });

  test('of nothing', async () => {
    const bytes = dressed('heron', still, (dresser) => {
      dresser.node('beak_tip').scale = [0, 0, 0];
    });
    const mended = await applyRepair(bytes, scaleUnit);
    const why = 'it is scaled to zero, and this cannot be undone';
    expect([mended.changes, mended.left.map((item) => item.why)]).toEqual([[], [why]]);
  });

  test('where a skin lacks the matrices that would take it back', async () => {
    const bytes = dressed('heron', (puppet) => {
      puppet.joint('neck_mid').scale = [1.5, 1.5, 1.5];
      puppet.missingBindMatrices = 2;
    });
    const mended = await applyRepair(bytes, scaleUnit);
    expect(mended.left.map((item) => item.why)).toEqual([
      'it has no inverse bind matrix that could make up for the change; bind the mesh again and export',
    ]);
    expect(mended.changes).toEqual([]);
  });
});
