// Source of what is mapped and how: the VRM specification (vrm-c/vrm-specification), VRM 1.0,
// humanoid.md, and VRM 0.x, README.md (Model's bone mapping; VRM rules).
import { describe, expect, it } from 'vitest';
import { build, buildPuppet, raisePuppet } from '../../fixtures/build.js';
import { travel } from '../../fixtures/kit/clips.js';
import type { GltfJson } from '../../fixtures/kit/gltf-json.js';
import type { Influence } from '../../fixtures/kit/mesh-part.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { noTurn } from '../../fixtures/kit/turns.js';
import type { Vec3 } from '../../fixtures/kit/vectors.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings } from '../../src/check/settings.js';
import { PLAIN } from '../../src/report/paint.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { writeText } from '../../src/report/text.js';
import { aimedConventions, tell, worldAligned } from '../fixtures/conventions.js';
import { checkBuilt, told } from '../support/check-built.js';
import { cardSkin, type TinyJoint, tinyGlb } from '../support/tiny-rig.js';
import { mapBones, renameToNothing } from '../support/vrm.js';

const versions = ['1.0', '0.x'] as const;
const cases = versions.flatMap((vrm) =>
  [...aimedConventions, worldAligned].map(
    (convention) => [vrm, tell(convention), convention] as const,
  ),
);

/** Each frame by one version: how a mapping is read does not depend on the frames. */
const inTurn = (first: 0 | 1) =>
  cases.filter(([vrm, title]) => {
    const frame = cases.findIndex((other) => other[1] === title);
    return vrm === versions[(frame + first) % versions.length];
  });

function check(puppet: Puppet, vrm: NonNullable<BuildOptions['vrm']>): Promise<AssetReport> {
  return checkBuilt(buildPuppet(puppet, { vrm }));
}

function expectSound(report: AssetReport): void {
  expect([report.verdict, told(report)]).toEqual(['sound', []]);
}

/** Findings of one rule as their joints. An unreadable asset has none, which proves nothing. */
function joints(report: AssetReport, rule: string): string[] {
  expect(report.unreadable).toBeNull();
  return report.findings.filter((finding) => finding.rule === rule).map(({ place }) => place.name);
}

describe('the sound marionette with a mapping', () => {
  it.each(cases)('has no finding by VRM %s in frames %s', async (vrm, _, convention) => {
    const built = build('marionette', { vrm, convention });
    expect(built.main).toBe('marionette.vrm');
    expectSound(await checkBuilt(built));
  });

  it.each(inTurn(0))(
    'has none either by VRM %s in frames %s with names that tell nothing',
    async (vrm, _, convention) => {
      const puppet = raisePuppet('marionette', { convention });
      renameToNothing(puppet);
      const report = await checkBuilt(buildPuppet(puppet, { vrm, convention }));
      expectSound(report);
      expect(report.rigs[0]?.conventions.pairs).toEqual({ byMapping: 17, byName: 0, byPlace: 3 });
    },
  );

  it.each(inTurn(1))(
    'has none by VRM %s in frames %s with left and right swapped in the mapping',
    async (vrm, _, convention) => {
      const puppet = raisePuppet('marionette', { convention });
      renameToNothing(puppet);
      for (const [joint, bone] of puppet.human) {
        const swapped = bone.replace(/^(left|right)/, (side) =>
          side === 'left' ? 'right' : 'left',
        );
        puppet.human.set(joint, swapped);
      }
      expectSound(await checkBuilt(buildPuppet(puppet, { vrm, convention })));
    },
  );

  it('says in the header what was read from it', async () => {
    const asset = await check(raisePuppet('marionette'), '1.0');
    const text = writeText(makeReport([asset], defaultSettings(rules)), {
      columns: 100,
      paint: PLAIN,
      quiet: false,
    });
    expect(text).toContain('Sides: 20 pairs (17 by mapping, 3 by name);');
    expect(text).toContain("Body root: hips, by the asset's humanoid mapping.");
  });
});

describe('a mapping that cannot be read leaves the report as it is without one', () => {
  const nonsense: readonly (readonly [string, unknown])[] = [
    ['text', 'hips'],
    ['a bone past the nodes', { humanoid: { humanBones: { hips: { node: 9999 } } } }],
    ['a list of nulls', { humanoid: { humanBones: [null, null] } }],
    ['bones that are holders and meshes', { humanoid: { humanBones: { hips: { node: 0 } } } }],
  ];
  it.each(nonsense)('%s', async (_, extension) => {
    const puppet = raisePuppet('marionette');
    const bare = await check(puppet, 'none');
    puppet.edits.push((json) => {
      json.extensions = { VRMC_vrm: extension, VRM: extension };
    });
    const { rigs, findings, verdict } = await check(puppet, 'none');
    expect({ rigs, findings, verdict }).toEqual({
      rigs: bare.rigs,
      findings: bare.findings,
      verdict: bare.verdict,
    });
  });
});

describe('what only the mapping can tell', () => {
  /** A marionette whose names tell nothing, with a satchel on one side so that places tell nothing: neither its own nor the middle of its box. */
  function lopsided(): { puppet: Puppet; kitName: Map<string, string> } {
    const puppet = raisePuppet('marionette');
    const kitName = renameToNothing(puppet);
    const satchel = cardSkin(
      Array.from({ length: 100 }, (_, i): Vec3 => [0.8 + 0.001 * i, 0.9 + 0.0005 * i, 0.02]),
      0.03,
    );
    puppet.parts.push({
      name: 'satchel',
      positions: [...satchel.positions],
      triangles: [...satchel.triangles],
      influences: satchel.influences.map((list) =>
        list.map(([, weight]): Influence => ['hips', weight]),
      ),
    });
    return { puppet, kitName };
  }

  it('is the pairs of a lopsided figure without sides in its names', async () => {
    const { puppet } = lopsided();
    const none = { byMapping: 0, byName: 0, byPlace: 0 };
    expect((await check(puppet, 'none')).rigs[0]?.conventions.pairs).toEqual(none);
    expect((await check(puppet, '1.0')).rigs[0]?.conventions.pairs).toEqual({
      ...none,
      byMapping: 17,
    });
  });

  it('is that one of its legs is off the mirror scheme', async () => {
    const { puppet, kitName } = lopsided();
    for (const joint of ['thigh_R', 'shin_R', 'foot_R', 'toe_R'])
      puppet.turnFrame(joint, 'aim', 20);
    const names = (report: AssetReport) =>
      joints(report, 'axis.mirror').map((name) => kitName.get(name));
    expect(names(await check(puppet, 'none'))).toEqual([]);
    expect(names(await check(puppet, '1.0'))).toEqual(['thigh_R']);
  });

  it('is that a joint off the midline is the chest and not half of a pair', async () => {
    const pegs: TinyJoint[] = [
      { name: 'wick', parent: -1, at: [0, 1, 0] },
      { name: 'bead', parent: 0, at: [0.1, 1.5, 0] },
      { name: 'knob', parent: 0, at: [-0.1, 1.5, 0] },
    ];
    const skin = cardSkin(pegs.map(({ at }): Vec3 => [0, at[1], 0]));
    const run = (edit: (json: GltfJson) => void): Promise<AssetReport> =>
      checkAssetBytes(tinyGlb(pegs, skin, edit), {
        settings: defaultSettings(rules),
        name: 'pegs',
      });
    expect(joints(await run(mapBones({})), 'place.midline')).toEqual([]);
    // The other one then has no partner either.
    expect(joints(await run(mapBones({ chest: 1 })), 'place.midline')).toEqual(['bead', 'knob']);
  });
});

it('a joint in the middle of the body stays there below one that is half of a pair', async () => {
  const pegs: TinyJoint[] = [
    { name: 'wick', parent: -1, at: [0, 1, 0] },
    { name: 'bead', parent: 0, at: [0.3, 1.5, 0] },
    { name: 'cap', parent: 1, at: [0.1, 2, 0] },
    { name: 'knob', parent: 0, at: [-0.3, 1.5, 0] },
  ];
  const skin = cardSkin(pegs.map(({ at, name }): Vec3 => [name === 'cap' ? 0 : at[0], at[1], 0]));
  const run = (edit: (json: GltfJson) => void): Promise<AssetReport> =>
    checkAssetBytes(tinyGlb(pegs, skin, edit), { settings: defaultSettings(rules), name: 'pegs' });
  expect(joints(await run(mapBones({})), 'place.midline')).toEqual([]);
  expect(joints(await run(mapBones({ head: 2 })), 'place.midline')).toEqual(['cap']);
});

const half = ([x, y, z]: Vec3): Vec3 => [x / 2, y / 2, z / 2];

it('a rig laid from the tip of a tail is told so, though the mapping knows its hips', async () => {
  const tail: TinyJoint[] = [0, 1, 2, 3].map((at) => ({
    name: `rod ${at}`,
    parent: at - 1,
    at: [0, at, 0],
  }));
  const body: TinyJoint[] = Array.from({ length: 16 }, (_, i) => {
    return { name: `rib ${i}`, parent: 3, at: [(i % 4) / 10, 3.2, Math.floor(i / 4) / 10] };
  });
  const pegs = [...tail, ...body];
  // The first rod is the thin end; as thick as the others it would be a trunk, rooted at its foot.
  const skin = cardSkin(pegs.map(({ at }) => at));
  const thin = { ...skin, positions: skin.positions.map((p, i): Vec3 => (i < 4 ? half(p) : p)) };
  const trunk = tinyGlb(pegs, skin, mapBones({}));
  const sound = await checkAssetBytes(trunk, { settings: defaultSettings(rules), name: 'trunk' });
  expect(joints(sound, 'chain.direction')).toEqual([]);
  for (const bones of [{}, { hips: 3 }]) {
    const glb = tinyGlb(pegs, thin, mapBones(bones));
    const report = await checkAssetBytes(glb, { settings: defaultSettings(rules), name: 'tail' });
    expect(report.rigs[0]?.bodyRootMapped).toBe('hips' in bones);
    expect(joints(report, 'chain.direction')).toEqual(['rod 0']);
  }
});

describe('a marionette on a pedestal that moves with its carrier', () => {
  /** The pedestal has so much skin that the carrier counts as the body. */
  function onPedestal(...travelling: string[]): Puppet {
    const puppet = raisePuppet('marionette');
    puppet.joint('carrier').weighted = true;
    const pedestal = cardSkin([[0, 0.1, 0]], 0.4);
    puppet.parts.push({
      name: 'pedestal',
      positions: [...pedestal.positions],
      triangles: [...pedestal.triangles],
      // Not a hard piece of its own, which would be a prop.
      influences: pedestal.influences.map((list) =>
        list.flatMap(([, weight]): Influence[] => [
          ['carrier', 0.9 * weight],
          ['hips', 0.1 * weight],
        ]),
      ),
    });
    const moves: Vec3[] = [
      [0, 0, 0],
      [0, 0.3, 0],
    ];
    puppet.clips.push({ name: 'leap', channels: travelling.map((joint) => travel(joint, moves)) });
    return puppet;
  }

  it('may leap by its hips, which the mapping knows', async () => {
    expect(joints(await check(onPedestal('hips'), 'none'), 'chain.stretch')).toEqual(['hips']);
    const report = await check(onPedestal('hips'), '1.0');
    expect(report.rigs[0]?.joints[report.rigs[0]?.bodyRoot ?? -1]?.name).toBe('hips');
    expect(joints(report, 'chain.stretch')).toEqual([]);
  });

  it('may not leap by its spine, whatever is mapped', async () => {
    for (const vrm of ['none', ...versions] as const)
      expect(joints(await check(onPedestal('spine_low'), vrm), 'chain.stretch')).toEqual([
        'spine_low',
      ]);
  });

  it('may not lose a pennant that hangs beside its hips, whatever is mapped', async () => {
    const puppet = onPedestal();
    puppet.joints.push({
      name: 'pennant',
      parent: 'carrier',
      position: [0.15, 0.1, 0.1],
      rotation: noTurn,
      scale: [1, 1, 1],
      weighted: true,
      listed: true,
    });
    const cloth = cardSkin([[0.15, 0.08, 0.1]]);
    puppet.parts.push({
      name: 'pennant',
      positions: [...cloth.positions],
      triangles: [...cloth.triangles],
      // Sewn on: a rigid piece on a rigid piece may travel.
      influences: cloth.influences.map((list) =>
        list.flatMap(([, weight]): Influence[] => [
          ['pennant', weight / 2],
          ['carrier', weight / 2],
        ]),
      ),
    });
    puppet.clip('leap').channels.push(
      travel('pennant', [
        [0, 0, 0],
        [0, 0.3, 0],
      ]),
    );
    for (const vrm of ['none', ...versions] as const)
      expect(joints(await check(puppet, vrm), 'chain.stretch')).toEqual(['pennant']);
  });

  it('is judged by its carrier when the mapping calls a hand the hips', async () => {
    const puppet = onPedestal('hips');
    puppet.human.clear();
    puppet.human.set('hand_L', 'hips');
    const report = await check(puppet, '1.0');
    expect(report.rigs[0]).toMatchObject({ bodyRoot: 0, bodyRootMapped: false });
    expect(joints(report, 'chain.stretch')).toEqual(['hips']);
  });
});
