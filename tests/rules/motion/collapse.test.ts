import { describe, expect, test } from 'vitest';
import { buildGlb } from '../../../fixtures/build.js';
import { faultNamed } from '../../../fixtures/faults/index.js';
import type { GltfJson, GltfPrimitive } from '../../../fixtures/kit/gltf-json.js';
import { rules } from '../../../rules/index.js';
import { motionCollapse } from '../../../rules/motion/collapse.js';
import { checkAssetBytes } from '../../../src/check/check-asset.js';
import { defaultSettings } from '../../../src/check/settings.js';
import { wordsFor } from '../../../src/kit/words.js';
import type { Rig } from '../../../src/rig/types.js';
import { type BlendTube, blendTube } from '../../support/blend-tube.js';
import { modelOf } from '../../support/facts-of.js';
import { chainJoints, type TinySkin, tinyGlb } from '../../support/tiny-rig.js';

const tube: BlendTube = { from: -0.5, to: 0.5, steps: 24, radius: 0.3 };
const rod = chainJoints([
  [-3, 0, 0],
  [0, 0, 0],
]);

const told = (rig: Rig, volume = 35) =>
  motionCollapse.check({ rig, wanted: { aim: null, up: null } }, { volume });

async function only(
  skin: TinySkin,
  edit: (json: GltfJson) => void = () => undefined,
  joints = rod,
): Promise<Rig> {
  const { rigs } = await modelOf(tinyGlb(joints, skin, edit));
  const [rig] = rigs;
  if (rig === undefined || rigs.length !== 1) throw new Error('one rig');
  return rig;
}

describe('the rule says why it has nothing to say', () => {
  const cases: [string, string, TinySkin, (json: GltfJson) => void][] = [
    [
      'points',
      'no skin changes its shape when a joint turns: each piece hangs on one joint',
      blendTube(tube),
      mode(0),
    ],
    [
      'lines',
      'no skin changes its shape when a joint turns: each piece hangs on one joint',
      blendTube(tube),
      mode(1),
    ],
    [
      'one triangle',
      'around no joint does the skin form a closed solid that has a volume',
      first(1),
      () => undefined,
    ],
    [
      'one triangle without area',
      'around no joint does the skin form a closed solid that has a volume',
      flat(),
      () => undefined,
    ],
    ['a skin that no node uses', 'the rig moves no mesh', blendTube(tube), unused],
    [
      'joints side by side',
      'no joint that moves skin hangs on another one',
      blendTube(tube),
      () => undefined,
    ],
  ];
  test.each(cases)('of %s', async (title, because, skin, edit) => {
    const joints =
      title === 'joints side by side' ? rod.map((joint) => ({ ...joint, parent: -1 })) : rod;
    expect(told(await only(skin, edit, joints))).toEqual({ kind: 'not applicable', because });
  });
});

test('the rule tells of the joint, the direction, the loss, the triangles and the stretch', async () => {
  const rig = await only(blendTube({ ...tube, height: 0.4 }));
  const outcome = told(rig);
  if (outcome.kind !== 'judged') throw new Error(outcome.because);
  const [finding] = outcome.findings;
  expect([outcome.looked, outcome.things, outcome.findings.length]).toEqual([1, 'joints', 1]);
  expect(finding?.place).toEqual({ kind: 'joint', joint: 1 });
  // By the closed form: 1/12, and 0.4 of L times the sine of 60 degrees.
  expect(finding?.measured).toBeCloseTo(100 * (1 / 12 + 0.4 * Math.sin(Math.PI / 3)), 0);
  expect(finding?.evidence).toEqual([
    { kind: 'point', label: 'joint', at: [0, 0, 0] },
    { kind: 'arrow', label: 'bend axis (side)', from: [0, 0, 0], along: [0, 0, 1] },
  ]);
  if (finding === undefined) return;
  const said = motionCollapse.say(finding, wordsFor(rig, 1, 'm'));
  expect(said.message).toMatchInlineSnapshot(
    `"Bent 60° about +side (+Z), the skin around "rod 2" loses 43 % of its volume (limit 35 %); no triangle turns inside out, and the longest stretch of an edge is 1.23 times its length."`,
  );
  expect(said.remedy).toMatchInlineSnapshot(
    `"Smooth or widen the weights around "rod 2", or move the joint to the middle of the form."`,
  );
});

test('the limit is what the rule is told', async () => {
  const rig = await only(blendTube(tube));
  const counts = [8, 9].map((volume) => {
    const outcome = told(rig, volume);
    return outcome.kind === 'judged' ? [outcome.looked, outcome.findings.length] : null;
  });
  expect(counts).toEqual([
    [1, 1],
    [1, 0],
  ]);
});

function primitiveOf(json: GltfJson): GltfPrimitive {
  const primitive = json.meshes?.[0]?.primitives[0];
  if (primitive === undefined) throw new Error('no primitive');
  return primitive;
}

function mode(kind: number): (json: GltfJson) => void {
  return (json) => {
    primitiveOf(json).mode = kind;
  };
}

/** Takes the mesh off its node: the skin stays. */
function unused(json: GltfJson): void {
  for (const node of json.nodes) {
    delete node.mesh;
    delete node.skin;
  }
}

/** The first triangles of a tube, from where the blend begins. */
function first(count: number): TinySkin {
  const skin = blendTube(tube);
  return { ...skin, triangles: skin.triangles.slice(32, 32 + count) };
}

/** One triangle whose corners lie at one place. */
function flat(): TinySkin {
  const skin = first(1);
  return { ...skin, positions: skin.positions.map(() => [0.1, 0.2, 0] as const) };
}

// The mule folds at its hips and shoulders, as animals do: notes, of less than costs points.
const BENDS_WELL = ['heron', 'stag-beetle', 'caterpillar', 'marionette'] as const;

test.each(BENDS_WELL)(
  'the %s in one skin, which shows how flesh should be, bends without a finding',
  async (name) => {
    const { rigs } = await modelOf(buildGlb(name, { flesh: 'connected' }));
    const [rig] = rigs;
    if (rig === undefined) throw new Error('no rig');
    const judgement = told(rig);
    expect('findings' in judgement && judgement.findings).toEqual([]);
  },
);

test('a limb that is laid backwards has one finding, and none for the bends of its joints', async () => {
  const faults = [faultNamed('forelegs-hung-by-the-hoof')];
  const bytes = buildGlb('mule', { flesh: 'connected', faults });
  const settings = { ...defaultSettings(rules), motion: true };
  const { findings } = await checkAssetBytes(bytes, { settings, name: 'mule.glb' });
  const bent = findings.filter(({ rule }) => rule === 'motion.collapse');
  expect(bent.map(({ place }) => place.path).filter((path) => /fore/.test(path))).toEqual([]);
  // Those of the hind legs have nothing to do with it.
  expect(bent.length).toBeGreaterThan(0);
  expect(findings.find(({ rule }) => rule === 'chain.direction')?.insteadOf).toEqual([
    'motion.collapse',
  ]);
});
