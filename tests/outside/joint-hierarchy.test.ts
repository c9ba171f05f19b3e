// Source: Khronos Group, glTF 2.0 Specification, section 3.7.3.2 "Joint Hierarchy": its text ("Each
// skin's joints MUST have a common parent node (direct or indirect) called common root, which may or
// may not be a joint node itself"; "A joint node MAY have other nodes attached to it, even a complete
// node sub graph with meshes"; "the transform of the skinned mesh node MUST be ignored") and its
// worked example of node_0 to node_4. The numbers are worked out by hand from the example.
import { describe, expect, test } from 'vitest';
import { ByteWriter } from '../../fixtures/kit/byte-writer.js';
import { glb } from '../../fixtures/kit/containers.js';
import type { GltfJson, GltfNode } from '../../fixtures/kit/gltf-json.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { bindMesh } from '../../src/measure/geometry/bind-mesh.js';
import type { FindingReport } from '../../src/report/report-types.js';
import { factsOf, rigOf } from '../support/facts-of.js';
import { skinVertex } from '../support/skin-vertex.js';

/** The nodes and the skin of the example, as they stand in the text. */
const example = (): Pick<GltfJson, 'nodes' | 'skins'> => ({
  nodes: [
    { name: 'node_0', children: [1], translation: [0.0, 1.0, 0.0] },
    { name: 'node_1', children: [2], scale: [0.5, 0.5, 0.5] },
    { name: 'node_2' },
    { name: 'node_3', children: [4], translation: [1.0, 0.0, 0.0] },
    { name: 'node_4', mesh: 0, rotation: [0.0, 1.0, 0.0, 0.0], skin: 0 },
  ],
  skins: [{ inverseBindMatrices: 0, joints: [1, 2], skeleton: 1 }],
});

/** A closed tetrahedron, two corners on each joint. */
const corners = [
  [0, 0, 0],
  [2, 0, 0],
  [0, 2, 0],
  [0, 0, 2],
] as const;
const identity = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];

/** The example with a small skin, its inverse bind matrices the identity, changed by `edit`. */
function build(edit: (json: GltfJson) => void = () => undefined): Uint8Array {
  const json: GltfJson = {
    asset: { version: '2.0', generator: 'lantern theatre tests' },
    scene: 0,
    scenes: [{ name: 'theatre', nodes: [] }],
    ...example(),
    accessors: [],
    bufferViews: [],
    buffers: [],
  };
  const writer = new ByteWriter(json);
  writer.accessor([...identity, ...identity, ...identity], 'MAT4', 'float');
  const attributes = {
    POSITION: writer.accessor(corners.flat(), 'VEC3', 'float', { bounds: true, target: 34962 }),
    JOINTS_0: writer.accessor(
      [0, 0, 1, 1].flatMap((slot) => [slot, 0, 0, 0]),
      'VEC4',
      'u8',
      {
        target: 34962,
      },
    ),
    WEIGHTS_0: writer.accessor(
      corners.flatMap(() => [1, 0, 0, 0]),
      'VEC4',
      'float',
      {
        target: 34962,
      },
    ),
  };
  const indices = writer.accessor([0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3], 'SCALAR', 'u16');
  json.meshes = [{ name: 'hide', primitives: [{ attributes, indices, mode: 4 }] }];
  const buffer = writer.finish();
  json.buffers = [{ byteLength: buffer.length }];
  edit(json);
  const below = new Set(json.nodes.flatMap((node) => node.children ?? []));
  json.scenes = [{ name: 'theatre', nodes: [...json.nodes.keys()].filter((i) => !below.has(i)) }];
  return glb(JSON.stringify(json), buffer);
}

async function check(bytes: Uint8Array): Promise<readonly FindingReport[]> {
  const report = await checkAssetBytes(bytes, { settings: defaultSettings(rules) });
  expect(report.unreadable).toBeNull();
  return report.findings;
}

const rootFindings = async (bytes: Uint8Array): Promise<FindingReport[]> =>
  (await check(bytes)).filter((finding) => finding.rule === 'root.single');

function node(json: GltfJson, index: number): GltfNode {
  const found = json.nodes[index];
  if (found === undefined) throw new Error(`the example has no node ${index}`);
  return found;
}

/** Takes the children of a node away, so that they stand on their own. */
function part(json: GltfJson, index: number): void {
  delete node(json, index).children;
}

describe('in the worked example', () => {
  test('the translation of node_0 and the scale of node_1 are applied', async () => {
    const rig = await rigOf(build());
    const [part] = rig.parts;
    if (part === undefined) throw new Error('the example has a mesh');
    // By hand: p' = (0, 1, 0) + 0.5 p, for both joints.
    corners.forEach(([x, y, z], vertex) => {
      expect(skinVertex(rig, part, vertex)).toEqual([x / 2, 1 + y / 2, z / 2]);
    });
    const { min, max } = bindMesh(await factsOf(build()));
    expect([min, max]).toEqual([
      [0, 1, 0],
      [1, 2, 1],
    ]);
  });

  test('the translation of node_3 and the rotation of node_4 are ignored', async () => {
    const still = build((json) => {
      delete node(json, 3).translation;
      delete node(json, 4).rotation;
    });
    const [moved, unmoved] = await Promise.all([factsOf(build()), factsOf(still)]);
    expect(bindMesh(moved).positions).toEqual(bindMesh(unmoved).positions);
    // All that is told of them is that they will be ignored, as a note.
    const [with34, without] = [await check(build()), await check(still)];
    const extra = with34.filter((finding) => finding.rule === 'rest.mesh');
    expect(extra.map(({ level, place }) => [level, place.name])).toEqual([['note', 'node_4']]);
    expect(with34.filter((finding) => finding.rule !== 'rest.mesh')).toEqual(without);
  });

  test('the joints have one topmost joint among them, and root.single is silent', async () => {
    const rig = await rigOf(build());
    expect(rig.joints.names).toEqual(['node_1', 'node_2']);
    expect(Array.from(rig.joints.parent)).toEqual([-1, 0]);
    expect(rig.hasCommonRoot).toBe(true);
    expect(await rootFindings(build())).toEqual([]);
  });

  test('nothing is an error, and a moved holder is a warning by common practice, not by the text', async () => {
    const findings = await check(build());
    expect(findings.filter(({ level }) => level === 'error')).toEqual([]);
    const holder = findings.filter(({ rule }) => rule === 'rest.holder');
    expect(holder.map(({ level, place }) => [level, place.name])).toEqual([['warning', 'node_0']]);
    expect(rules.find((rule) => rule.id === 'rest.holder')?.source).toContain('common practice');
  });
});

describe('what the text allows gives no error of the hierarchy', () => {
  /** Errors that the plain example does not have. */
  async function newErrors(edit: (json: GltfJson) => void): Promise<string[]> {
    const [known, now] = [await check(build()), await check(build(edit))].map((findings) =>
      findings
        .filter(({ level }) => level === 'error')
        .map(({ rule, place }) => `${rule} ${place.name}`),
    );
    return (now ?? []).filter((error) => !known?.includes(error));
  }

  test.each<[string, (json: GltfJson) => void]>([
    ['a common root that is a joint', (json) => part(json, 0)],
    [
      'a skeleton that is a parent of the common root',
      (json) => {
        for (const skin of json.skins ?? []) skin.skeleton = 0;
      },
    ],
    [
      'a skin without skeleton',
      (json) => {
        for (const skin of json.skins ?? []) delete skin.skeleton;
      },
    ],
    [
      'a node between two joints that is none',
      (json) => {
        json.nodes.push({ name: 'peg', children: [2] });
        node(json, 1).children = [5];
      },
    ],
    [
      'a lantern with a mesh of its own, hung on a joint',
      (json) => {
        json.nodes.push({ name: 'lantern', mesh: 0, translation: [0, -1, 0] });
        node(json, 2).children = [5];
      },
    ],
    [
      'a joint list in another order than the tree',
      (json) => {
        for (const skin of json.skins ?? []) skin.joints.reverse();
      },
    ],
    [
      'more matrices than joints',
      (json) => {
        expect(json.accessors[0]?.count).toBe(3);
      },
    ],
  ])('%s', async (_title, edit) => {
    expect(await newErrors(edit)).toEqual([]);
    expect(await rootFindings(build(edit))).toEqual([]);
  });

  test('two topmost joints below one node are told as practice, not as a breach', async () => {
    const [finding, ...more] = await rootFindings(
      build((json) => {
        part(json, 1);
        node(json, 0).children = [1, 2];
      }),
    );
    expect(more).toEqual([]);
    expect(finding?.measured).toBe(2);
    expect(finding?.message).not.toContain('glTF');
  });
});

describe('what the text forbids is an error', () => {
  test('joints in two trees, without a common root', async () => {
    const [finding, ...more] = await rootFindings(build((json) => part(json, 1)));
    expect(more).toEqual([]);
    expect([finding?.level, finding?.measured]).toEqual(['error', 2]);
    expect(finding?.message).toContain('glTF 2.0 asks for a common root');
  });

  test('joints in two trees, also when the second moves no skin', async () => {
    const bytes = build((json) => {
      json.nodes.push({ name: 'node_5' });
      part(json, 0);
      for (const skin of json.skins ?? []) skin.joints.push(5);
    });
    expect((await rootFindings(bytes)).map(({ level }) => level)).toEqual(['error']);
  });
});
