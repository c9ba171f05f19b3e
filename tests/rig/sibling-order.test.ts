import { describe, expect, test } from 'vitest';
import type { GltfNode } from '../../fixtures/kit/gltf-json.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';
import { placeRanks } from '../../src/rig/place-ranks.js';
import { modelOf } from '../support/facts-of.js';
import { modelOfNodes } from '../support/node-model.js';
import { type TinyJoint, tinyGlb } from '../support/tiny-rig.js';

/** The topmost nodes of some nodes, in order. */
async function order(nodes: readonly GltfNode[]): Promise<readonly number[]> {
  return (await modelOfNodes(nodes, [])).nodes.tops;
}

describe('siblings stand', () => {
  test('by name, letter by letter, the unnamed last', async () => {
    const nodes = [{ name: ' ' }, { name: 'b' }, { name: 'a' }, { name: 'B' }];
    expect(await order(nodes)).toEqual([3, 2, 1, 0]);
  });

  test('by place where they are alike in name: along x, then y, then z', async () => {
    const at = (...place: Vec3): GltfNode => ({ name: 'peg', translation: [...place] });
    expect(await order([at(1, 0, 0), at(0, 2, 1), at(0, 2, 0), at(0, 1, 9)])).toEqual([3, 2, 1, 0]);
  });

  test('by what hangs on them where they are alike in both', async () => {
    const long = { children: [2] };
    const nodes = [{ ...long }, {}, { name: 'bead' }];
    const [first] = await order(nodes);
    const [other] = await order([{}, { ...long }, { name: 'bead' }]);
    expect([first, other]).toContain(0);
    expect(first).not.toBe(other);
  });

  test('by their bind place, not by where a pose has put them', async () => {
    // At rest the first stands at the right; the skin was bound with it at the left.
    const joints: TinyJoint[] = [
      { name: '', parent: -1, at: [0, 0, 0] },
      { name: '', parent: 0, at: [1, 0, 0] },
      { name: '', parent: 0, at: [2, 0, 0] },
    ];
    const posed = tinyGlb(joints, null, (json) => {
      const node = json.nodes[2];
      if (node !== undefined) node.translation = [0.5, 0, 0];
    });
    const [rig] = (await modelOf(posed)).rigs;
    expect(Array.from(rig?.joints.node ?? [])).toEqual([0, 1, 2]);
  });
});

describe('ranks of places', () => {
  test('share a number where they are one but for noise, on either side of any line of a grid', () => {
    const noise = 1e-7;
    expect(
      placeRanks([
        [1, 0.00005 + noise, 0],
        [1 + noise, 0.00005 - noise, 5],
        [1 - noise, 0.00005, -5],
      ]),
    ).toEqual([1, 2, 0]);
  });

  test('are found for as many as a file can hold', () => {
    const many = Array.from({ length: 150_000 }, (): Vec3 => [0, 0, 0]);
    expect(placeRanks(many).every((rank) => rank === 0)).toBe(true);
  });

  test('are equal for places that are one', () => {
    expect(
      placeRanks([
        [1, 2, 3],
        [0, 0, 0],
        [1, 2, 3],
      ]),
    ).toEqual([1, 0, 1]);
  });
});
