import { expect, test } from 'vitest';
import type { GltfNode, GltfSkin } from '../../fixtures/kit/gltf-json.js';
import { modelOfNodes } from '../support/node-model.js';

async function names(nodes: readonly GltfNode[], skins: readonly GltfSkin[]): Promise<string[]> {
  return (await modelOfNodes(nodes, skins)).rigs.map(({ name }) => name);
}

test('a rig has the name of its topmost joint, whatever skin and holder are called', async () => {
  const nodes = [
    { name: 'stand', children: [1] },
    { name: 'body', children: [2] },
    { name: 'neck' },
  ];
  expect(await names(nodes, [{ name: 'hide', joints: [2, 1] }])).toEqual(['body']);
});

test('of several topmost joints the one that carries most', async () => {
  const nodes = [{ name: 'arm' }, { name: 'body', children: [2] }, { name: 'neck' }];
  expect(await names(nodes, [{ joints: [0, 1, 2] }])).toEqual(['body']);
});

test('rigs alike in that have the names of what holds them, as far up as tells them apart', async () => {
  const nodes = [
    { name: 'left', children: [2] },
    { name: 'right', children: [3] },
    { name: 'stand', children: [4] },
    { name: 'stand', children: [5] },
    { name: 'body' },
    { name: 'body' },
    { name: 'wick' },
  ];
  expect(await names(nodes, [{ joints: [5] }, { joints: [6] }, { joints: [4] }])).toEqual([
    'left/stand/body',
    'right/stand/body',
    'wick',
  ]);
});

test('rigs that nothing tells apart are numbered, and one without any name is called that', async () => {
  const nodes: GltfNode[] = [{ name: 'body' }, { name: 'body', translation: [1, 0, 0] }, {}];
  expect(await names(nodes, [{ joints: [1] }, { joints: [0] }, { joints: [2] }])).toEqual([
    'body',
    'body[2]',
    'unnamed',
  ]);
});
