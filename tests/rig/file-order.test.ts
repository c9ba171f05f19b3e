import { expect, test } from 'vitest';
import { partsInFileOrder, sameRigs } from '../../src/rig/file-order.js';
import type { Rig } from '../../src/rig/types.js';
import { modelOf } from '../support/facts-of.js';
import { modelOfNodes } from '../support/node-model.js';
import { cardSkin, type TinyJoint, tinyGlb } from '../support/tiny-rig.js';

async function rigsNamed(first: string, second: string): Promise<readonly Rig[]> {
  const nodes = [{ name: first }, { name: second }];
  return (await modelOfNodes(nodes, [{ joints: [0] }, { joints: [1] }])).rigs;
}

test('a rig is found again though a new name has moved it in the list', async () => {
  const pairs = sameRigs(await rigsNamed('body', 'neck'), await rigsNamed('wing', 'neck'));
  expect(pairs.map(([a, b]) => [a.name, b?.name])).toEqual([
    ['body', 'wing'],
    ['neck', 'neck'],
  ]);
});

test('a rig that is gone has no other', async () => {
  const [, second] = sameRigs(await rigsNamed('body', 'neck'), []);
  expect(second?.[1]).toBeUndefined();
});

test('parts stand by the nodes that wear them', async () => {
  const joints: TinyJoint[] = [{ name: 'body', parent: -1, at: [0, 0, 0] }];
  const glb = tinyGlb(joints, cardSkin([[0, 0, 0]]), (json) => {
    const worn = json.nodes.find(({ mesh }) => mesh !== undefined);
    if (worn === undefined) throw new Error('no node wears the mesh');
    worn.name = 'z';
    json.nodes.push({ ...worn, name: 'a' });
    json.scenes?.[0]?.nodes?.push(json.nodes.length - 1);
  });
  const [rig] = (await modelOf(glb)).rigs;
  if (rig === undefined) throw new Error('no rig');
  expect(rig.parts.map(({ label }) => label)).toEqual(['a', 'z']);
  expect(partsInFileOrder(rig)).toEqual([1, 0]);
});
