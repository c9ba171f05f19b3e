import { describe, expect, test } from 'vitest';
import type { GltfNode, GltfSkin } from '../../fixtures/kit/gltf-json.js';
import { modelOfNodes } from '../support/node-model.js';

/** Skins of each rig, by index. */
async function groups(nodes: readonly GltfNode[], skins: readonly GltfSkin[]): Promise<number[][]> {
  const { rigs } = await modelOfNodes(nodes, skins);
  return rigs.map((rig) => rig.skins.map((skin) => skin.index));
}

const peg = (...children: number[]): GltfNode => (children.length > 0 ? { children } : {});

describe('skins are one rig', () => {
  test('when they share a joint', async () => {
    const skins = [{ joints: [0, 1] }, { joints: [1, 2] }, { joints: [2] }];
    expect(await groups([peg(1), peg(2), peg()], skins)).toEqual([[0, 1, 2]]);
  });

  test('when the joints of one hang below those of the other, in either order of the file', async () => {
    const nodes = [peg(1), peg(2), peg()];
    expect(await groups(nodes, [{ joints: [0] }, { joints: [2] }])).toEqual([[0, 1]]);
    expect(await groups(nodes, [{ joints: [2] }, { joints: [0] }])).toEqual([[1, 0]]);
  });

  test('when they name one skeleton node, though they share no joint', async () => {
    const nodes = [peg(1, 2), peg(), peg()];
    const skins = [
      { joints: [1], skeleton: 0 },
      { joints: [2], skeleton: 0 },
    ];
    expect(await groups(nodes, skins)).toEqual([[0, 1]]);
  });

  test('when a third joins them that comes last', async () => {
    const nodes = [peg(1, 2), peg(), peg()];
    const skins = [{ joints: [1] }, { joints: [2] }, { joints: [1, 2] }];
    expect(await groups(nodes, skins)).toEqual([[0, 2, 1]]);
  });
});

describe('skins stay apart', () => {
  test('when two characters merely hang on one holder', async () => {
    const nodes = [peg(1, 3), peg(2), peg(), peg(4), peg()];
    expect(await groups(nodes, [{ joints: [1, 2] }, { joints: [3, 4] }])).toEqual([[0], [1]]);
  });

  test('when they name different skeleton nodes below one holder', async () => {
    const nodes = [peg(1, 2), peg(), peg()];
    const skins = [
      { joints: [1], skeleton: 1 },
      { joints: [2], skeleton: 2 },
    ];
    expect(await groups(nodes, skins)).toEqual([[0], [1]]);
  });
});

test('rigs and their skins stand in the order of their joints in the tree, not of the file', async () => {
  const nodes = [peg(1), peg(), peg(3), peg()];
  const skins = [{ joints: [2] }, { joints: [0] }, { joints: [3] }, { joints: [1] }];
  expect(await groups(nodes, skins)).toEqual([
    [1, 3],
    [0, 2],
  ]);
});

test('a rig has the joints of all its skins, each once', async () => {
  const { rigs } = await modelOfNodes(
    [peg(1), peg(2), peg()],
    [{ joints: [2, 1] }, { joints: [0, 1] }],
  );
  // The skin that lists the topmost joint comes first.
  const [rig] = rigs;
  expect(Array.from(rig?.joints.node ?? [])).toEqual([0, 1, 2]);
  expect(rig?.skins.map((skin) => Array.from(skin.jointOfSlot))).toEqual([
    [0, 1],
    [2, 1],
  ]);
  expect(rig?.skins.map((skin) => Array.from(skin.slotOfJoint))).toEqual([
    [0, 1, -1],
    [-1, 1, 0],
  ]);
});
