import { describe, expect, test } from 'vitest';
import type { GltfJson, GltfPrimitive } from '../../fixtures/kit/gltf-json.js';
import type { Influence } from '../../fixtures/kit/mesh-part.js';
import { times, type Vec3 } from '../../fixtures/kit/vectors.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { cutApart } from '../support/blend-tube.js';
import { type TinyJoint, type TinySkin, tinyGlb, tubeSkin } from '../support/tiny-rig.js';

/** Rules that look at where mesh and joints lie, and at who moves what. */
const GEOMETRY = [
  'place.inside',
  'place.middle',
  'place.midline',
  'place.pair',
  'skin.idle',
  'skin.stray',
  'skin.side',
  'skin.budget',
  'motion.collapse',
];

/** A trunk of three joints up Y with a pair of wings, and skin round the trunk. */
const trunk: readonly Vec3[] = [
  [0, 0, 0],
  [0, 1, 0],
  [0, 2, 0],
];
const joints: readonly TinyJoint[] = [
  ...trunk.map((at, k): TinyJoint => ({ name: `trunk ${k}`, parent: k - 1, at })),
  { name: 'wing_L', parent: 1, at: [0.2, 1, 0] },
  { name: 'wing_R', parent: 1, at: [-0.2, 1, 0] },
];
const tube = tubeSkin(trunk, 0.4, [0, 0, 1]);
/** The flanks of the tube hang on the wings as well, so that there are pairs to judge. */
const skin: TinySkin = {
  ...tube,
  influences: tube.influences.map((list, vertex) =>
    withWing(list, tube.positions[vertex]?.[0] ?? 0),
  ),
};

function withWing(list: readonly Influence[], x: number): Influence[] {
  if (Math.abs(x) < 0.1) return [...list];
  const rest = list.map(([joint, weight]): Influence => [joint, weight / 2]);
  return [[x > 0 ? 3 : 4, 0.5], ...rest];
}

async function reportOf(
  of: TinySkin,
  edit: (json: GltfJson) => void = () => undefined,
  rig: readonly TinyJoint[] = joints,
): Promise<AssetReport> {
  return checkAssetBytes(tinyGlb(rig, of, edit), {
    settings: { ...defaultSettings(rules), motion: true },
  });
}

/** What is judged. A rule that is left out altogether shows as well. */
function judged(report: AssetReport): string[] {
  expect(report.unreadable).toBeNull();
  const [rig] = report.rigs;
  const own = (rig?.measured ?? []).filter(({ rule }) => GEOMETRY.includes(rule));
  expect(own.map(({ rule }) => rule).sort()).toEqual([...GEOMETRY].sort());
  for (const { rule, measured, evidence } of report.findings) {
    if (!GEOMETRY.includes(rule)) continue;
    expect([rule, Number.isFinite(measured)]).toEqual([rule, true]);
    expect(JSON.stringify(evidence)).not.toContain('null');
  }
  return own.filter(({ kind }) => kind === 'judged').map(({ rule }) => rule);
}

const found = (report: AssetReport): string[] =>
  report.findings.map(({ rule }) => rule).filter((rule) => GEOMETRY.includes(rule));

describe('the sound rig, from which the others are made', () => {
  test('is judged by all of these rules, without a finding', async () => {
    const report = await reportOf(skin);
    expect(judged(report)).toEqual(GEOMETRY);
    expect(found(report)).toEqual([]);
  });
});

/** Rules that need no surface. */
const SURFACELESS = [
  'place.midline',
  'place.pair',
  'skin.idle',
  'skin.stray',
  'skin.side',
  'skin.budget',
];

type Case = readonly [
  title: string,
  skin: TinySkin,
  edit: ((json: GltfJson) => void) | undefined,
  rig: readonly TinyJoint[] | undefined,
  judged: readonly string[],
];

const cases: readonly Case[] = [
  [
    'a mesh of one triangle',
    { ...skin, triangles: skin.triangles.slice(20, 21) },
    undefined,
    undefined,
    SURFACELESS,
  ],
  [
    'triangles without area among the others',
    { ...skin, triangles: [...skin.triangles, ...flat(skin)] },
    undefined,
    undefined,
    GEOMETRY,
  ],
  [
    'triangles without area alone',
    { ...skin, triangles: flat(skin) },
    undefined,
    undefined,
    SURFACELESS,
  ],
  ['a primitive of points', skin, mode(0), undefined, SURFACELESS],
  ['a primitive of lines', skin, mode(1), undefined, SURFACELESS],
  [
    'a primitive without indices',
    cutApart(skin),
    (json) => {
      Reflect.deleteProperty(primitiveOf(json), 'indices');
    },
    undefined,
    GEOMETRY,
  ],
  [
    'a primitive without indices and without a whole triangle',
    { ...skin, positions: skin.positions.slice(0, 2), influences: skin.influences.slice(0, 2) },
    (json) => {
      Reflect.deleteProperty(primitiveOf(json), 'indices');
    },
    undefined,
    ['place.midline', 'skin.idle', 'skin.stray', 'skin.budget'],
  ],
  [
    'joints on top of each other',
    skin,
    undefined,
    joints.map((joint) => ({ ...joint, at: [0, 1, 0] })),
    GEOMETRY.filter((rule) => rule !== 'place.middle'),
  ],
  [
    'all vertices at one place',
    { ...skin, positions: skin.positions.map((): Vec3 => [0, 1, 0]) },
    undefined,
    undefined,
    ['skin.idle', 'skin.budget'],
  ],
  [
    'vertices that no joint moves',
    { ...skin, influences: skin.influences.map(() => []) },
    undefined,
    undefined,
    ['skin.budget'],
  ],
  ['indices past the joints', everyWeight(77, 1), undefined, undefined, ['skin.budget']],
  ['weights that are no numbers', everyWeight(1, NaN), undefined, undefined, ['skin.budget']],
  ['negative weights', everyWeight(1, -1), undefined, undefined, ['skin.budget']],
  [
    'a mesh of 1e14 m',
    enlarged(1e14),
    undefined,
    undefined,
    GEOMETRY.filter((rule) => rule !== 'place.middle'),
  ],
  ['a mesh of 1e-30 m', enlarged(1e-30), undefined, undefined, GEOMETRY],
  [
    'one vertex at 1e14',
    {
      ...skin,
      positions: skin.positions.map((at, k): Vec3 => (k === 7 ? [1e14, 1e14, 1e14] : at)),
    },
    undefined,
    undefined,
    ['place.inside', 'skin.idle', 'skin.stray', 'skin.budget', 'motion.collapse'],
  ],
  ['a skin that no node uses', skin, unused, undefined, []],
  ['a mesh that two skins share', skin, twoSkins, undefined, GEOMETRY],
  [
    'a mesh of 1e30 m about joints of 1 m',
    enlarged(1e30),
    undefined,
    undefined,
    GEOMETRY.filter((rule) => rule !== 'place.middle'),
  ],
];

describe('measured or not applicable, and never an exception:', () => {
  test.each(cases)('%s', async (_, of, edit, rig, expected) => {
    expect(judged(await reportOf(of, edit, rig))).toEqual(expected);
  });
});

function flat({ triangles }: TinySkin): TinySkin['triangles'] {
  return triangles.map(([a, b]) => [a, b, b]);
}

/** The mesh alone: the joints stay where they are. */
function enlarged(factor: number): TinySkin {
  return { ...skin, positions: skin.positions.map((at) => times(at, factor)) };
}

function everyWeight(joint: number, weight: number): TinySkin {
  return { ...skin, influences: skin.influences.map(() => [[joint, weight]]) };
}

function primitiveOf(json: GltfJson): GltfPrimitive {
  const primitive = json.meshes?.[0]?.primitives[0];
  if (primitive === undefined) throw new Error('no primitive');
  return primitive;
}

function mode(number: number): (json: GltfJson) => void {
  return (json) => {
    primitiveOf(json).mode = number;
  };
}

/** Only a skin, and a mesh that nothing skins. */
function unused(json: GltfJson): void {
  for (const node of json.nodes) delete node.skin;
}

function twoSkins(json: GltfJson): void {
  const [first] = json.skins ?? [];
  if (first === undefined) throw new Error('no skin');
  json.skins?.push({ ...first, name: 'second hide' });
  json.nodes.push({ name: 'second hide', mesh: 0, skin: 1 });
  json.scenes[0]?.nodes.push(json.nodes.length - 1);
}
