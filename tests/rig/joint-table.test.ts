import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { GltfNode } from '../../fixtures/kit/gltf-json.js';
import { deepNodes } from '../../fixtures/malformed/strange.js';
import type { JointTable } from '../../src/rig/types.js';
import { modelOfNodes } from '../support/node-model.js';

const RUNS = { seed: 20240229, numRuns: 200 };
/** No path is longer, so that deep trees cost no memory by the square. Characters. */
const LONGEST_PATH = 8192;

/** The joints of the one rig that lists the given nodes, all by default. */
async function table(nodes: readonly GltfNode[], joints?: number[]): Promise<JointTable> {
  const { rigs } = await modelOfNodes(nodes, [{ joints: joints ?? [...nodes.keys()] }]);
  const [rig] = rigs;
  if (rig === undefined) throw new Error('the asset has a skin');
  return rig.joints;
}

describe('paths', () => {
  test('run from the topmost joint down', async () => {
    const { paths } = await table([
      { name: 'body', children: [1, 2] },
      { name: 'neck', children: [3] },
      { name: 'tail' },
      { name: 'head' },
    ]);
    expect(paths).toEqual(['body', 'body/neck', 'body/neck/head', 'body/tail']);
  });

  test('number siblings that share a name', async () => {
    const { names, paths } = await table([
      { name: 'body', children: [1, 2, 3] },
      { name: 'leg' },
      { name: 'leg' },
      { name: 'leg' },
    ]);
    expect(names).toEqual(['body', 'leg', 'leg', 'leg']);
    expect(paths).toEqual(['body', 'body/leg', 'body/leg[2]', 'body/leg[3]']);
  });

  test('number joints without a name among their siblings without one', async () => {
    const { names, paths, named } = await table([
      { children: [1, 2] },
      { name: 'neck' },
      { name: '  ' },
    ]);
    expect(names).toEqual(['unnamed 1', 'neck', 'unnamed 1']);
    expect(paths).toEqual(['unnamed 1', 'unnamed 1/neck', 'unnamed 1/unnamed 1']);
    expect(named).toEqual([false, true, false]);
  });

  test('escape slashes in names', async () => {
    const { paths } = await table([{ name: 'left/right', children: [1] }, { name: 'a/b' }]);
    expect(paths).toEqual(['left\\/right', 'left\\/right/a\\/b']);
  });

  test('do not depend on how the file numbers its nodes', async () => {
    const one = await table([{ name: 'body', children: [1] }, { name: 'neck' }]);
    const other = await table([{ name: 'neck' }, { name: 'body', children: [0] }]);
    expect(other.paths).toEqual(one.paths);
  });

  test('name each joint alone, whatever the names are', async () => {
    const name = fc.constantFrom('a', 'b', 'a[2]', 'a/b', 'a\\', '', 'unnamed 1', 'unnamed 2');
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(name, fc.nat()), { minLength: 1, maxLength: 12 }),
        async (list) => {
          // Node i hangs on some earlier node, the first on none.
          const nodes = list.map(([own]): GltfNode => ({ name: own }));
          list.slice(1).forEach(([, parent], at) => {
            const above = nodes[parent % (at + 1)] ?? {};
            above.children = [...(above.children ?? []), at + 1];
          });
          const { paths } = await table(nodes);
          expect(new Set(paths).size).toBe(paths.length);
        },
      ),
      RUNS,
    );
  });
});

describe('a chain of 10,000 joints', () => {
  const chain = (count: number): GltfNode[] =>
    Array.from({ length: count }, (_, at) => ({
      name: `rope ${at}`,
      ...(at + 1 < count ? { children: [at + 1] } : {}),
    }));

  test('is built, each joint the parent of the next', async () => {
    const { count, parent, depth } = await table(chain(deepNodes));
    expect(count).toBe(deepNodes);
    expect(Array.from(parent)).toEqual(Array.from({ length: deepNodes }, (_, at) => at - 1));
    expect(depth.at(-1)).toBe(deepNodes - 1);
  });

  test('has paths that are short and name each joint alone', async () => {
    const { paths } = await table(chain(deepNodes));
    expect(new Set(paths).size).toBe(deepNodes);
    expect(Math.max(...paths.map((path) => path.length))).toBeLessThan(LONGEST_PATH);
    expect(paths.at(-1)).toMatch(/^rope 0\/.*\/rope 9999$/);
  });

  test('says in a path how many names it leaves out', async () => {
    const path = (await table(chain(deepNodes))).paths.at(-1) ?? '';
    const [, head = '', left = '', tail = ''] =
      /^(.*?)\/\((\d+) joints, [0-9a-f]+\)\/(.*)$/.exec(path) ?? [];
    expect([head, tail]).toEqual(['rope 0', `rope ${deepNodes - 1}`]);
    expect(Number(left)).toBe(deepNodes - 2);
  });

  test('that forks has paths that tell apart what lies deep in its two branches', async () => {
    // As deep as the longest path is long: both branches are cut, and are named alike below the fork.
    const [trunk, branch] = [chain(LONGEST_PATH / 8), 2000];
    const below = (first: number, name: string): GltfNode[] =>
      Array.from({ length: branch }, (_, at) => ({
        name: at === 0 ? name : 'twig',
        ...(at + 1 < branch ? { children: [first + at + 1] } : {}),
      }));
    const fork = trunk.length;
    Object.assign(trunk.at(-1) ?? {}, { children: [fork, fork + branch] });
    const nodes = [...trunk, ...below(fork, 'left'), ...below(fork + branch, 'right')];
    const { paths } = await table(nodes);
    expect(new Set(paths).size).toBe(paths.length);
  });
});

describe('nodes that are no joints', () => {
  test('between two joints are spacers of the lower one, from above to below', async () => {
    const { parent, spacers, ofNode } = await table(
      [{ children: [1] }, { children: [2] }, { children: [3] }, {}],
      [0, 3],
    );
    expect(Array.from(parent)).toEqual([-1, 0]);
    expect(spacers).toEqual([[], [1, 2]]);
    expect(Array.from(ofNode)).toEqual([0, -1, -1, 1]);
  });

  test('above the topmost joints are holders, from the scene down', async () => {
    const { rigs } = await modelOfNodes(
      [{ children: [1] }, { children: [2, 3] }, {}, {}],
      [{ joints: [2, 3] }],
    );
    expect(rigs.map((rig) => [rig.holders, rig.hasCommonRoot])).toEqual([[[0, 1], true]]);
  });

  test('that stand in two trees leave the joints without a common root', async () => {
    const { rigs } = await modelOfNodes(
      [{ children: [1] }, {}, { children: [3] }, {}],
      [{ joints: [1, 3] }],
    );
    expect(rigs.map((rig) => [rig.holders, rig.hasCommonRoot])).toEqual([[[0, 2], false]]);
  });
});

test('joints stand parents first, each branch in one piece, siblings in the order of the file', async () => {
  const { node, children } = await table([{ children: [3, 1] }, {}, {}, { children: [2] }]);
  expect(Array.from(node)).toEqual([0, 3, 2, 1]);
  expect(children).toEqual([[1, 3], [2], [], []]);
});
