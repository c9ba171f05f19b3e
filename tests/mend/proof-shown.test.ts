import { describe, expect, test } from 'vitest';
import { Editable } from '../../src/mend/file/editable.js';
import { type Looks, looksOf } from '../../src/mend/proof/looks.js';
import { isSeen, proveSame } from '../../src/mend/proof/proof.js';
import { reload } from '../../src/mend/proof/reload.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import type { RigModel } from '../../src/rig/types.js';
import { type Dresser, dressed, hangProps } from './dressed.js';

const dress = (change: (dresser: Dresser) => void = () => undefined): Uint8Array =>
  dressed(
    'heron',
    () => undefined,
    (dresser) => {
      hangProps(dresser, 'neck_mid');
      change(dresser);
    },
  );

async function read(bytes: Uint8Array): Promise<{ model: RigModel; looks: Looks }> {
  const asset = await reload((await Editable.fromBytes(bytes)).files(), null);
  const model = buildRigs(asset);
  return { model, looks: looksOf(asset, model) };
}

async function prove(before: Uint8Array, after: Uint8Array) {
  const [a, b] = [await read(before), await read(after)];
  return proveSame(a.model, b.model, [a.looks, b.looks]);
}

describe('what is no skin', () => {
  test('is compared, and is nothing off itself', async () => {
    const proof = await prove(dress(), dress());
    expect([proof.share, isSeen(proof)]).toEqual([0, false]);
  });

  test.each(['prop', 'prop_wick', 'prop_camera', 'prop_light', 'prop_crate'])(
    'is seen to move as stored: %s',
    async (name) => {
      const moved = dress((dresser) => {
        const node = dresser.node(name);
        if (node.matrix !== undefined) node.matrix = node.matrix.with(12, 0.51);
        else node.translation = [(node.translation?.[0] ?? 0) + 0.01, 0.2, -0.3];
      });
      const proof = await prove(dress(), moved);
      expect(isSeen(proof)).toBe(true);
      expect(proof.stored.where).toMatchObject({ part: name, vertex: null, clip: null });
    },
  );

  test('is seen to turn: a camera on the spot', async () => {
    const turned = dress((dresser) => {
      dresser.node('prop_camera').rotation = [0.61, 0, 0, Math.sqrt(1 - 0.61 ** 2)];
    });
    expect(isSeen(await prove(dress(), turned))).toBe(true);
  });

  test('is seen to move in a clip alone', async () => {
    const other = dress((dresser) => {
      const spline = Float32Array.of(0, 0, 0, 0.1, 0, 0);
      const output = dresser.accessor(spline, 'VEC3');
      dresser.key(dresser.named('prop_wick'), 'translation', [0, 2], output, 'LINEAR');
    });
    const same = dress((dresser) => {
      const still = Float32Array.of(0, 0.1, 0, 0, 0.1, 0);
      const output = dresser.accessor(still, 'VEC3');
      dresser.key(dresser.named('prop_wick'), 'translation', [0, 2], output, 'LINEAR');
    });
    const proof = await prove(same, other);
    expect(isSeen(proof.stored)).toBe(false);
    expect(isSeen(proof.clips)).toBe(true);
    expect(proof.clips.where).toMatchObject({ part: 'prop_wick', vertex: null });
    // Keys that only repeat what is stored are the same to the eye.
    expect(isSeen(await prove(dress(), same))).toBe(false);
  });

  test('is not asked where nothing that it hangs on changed', async () => {
    const bare = dress();
    const elsewhere = dress((dresser) => {
      dresser.node('shin_L').translation = [0, 0.2, 0];
    });
    const proof = await prove(bare, elsewhere);
    // The skin moves, the props of the neck do not.
    expect(proof.where?.vertex).not.toBeNull();
  });
});
