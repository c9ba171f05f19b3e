import { describe, expect, it } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { editInfluences } from '../../fixtures/kit/changes.js';
import { swing } from '../../fixtures/kit/clips.js';
import type { GltfJson } from '../../fixtures/kit/gltf-json.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { idleJoints } from '../../src/mend/repairs/idle-joints.js';
import type { SkinnedPart } from '../../src/rig/types.js';
import { splitGlb } from '../fixtures/read-back.js';
import { type Repaired, runRepair } from './run-repair.js';

/** The mule with a chain of three idle hooks, and whatever else is done to it. */
function hooked(change: (puppet: Puppet) => void = () => undefined): Puppet {
  const puppet = raisePuppet('mule', { faults: [faultNamed('idle-hooks')] });
  // The hooks come first in the list, so that every index of the skin is another without them.
  const hooks = puppet.joints.filter(({ name }) => name.startsWith('lamp_hook'));
  const others = puppet.joints.filter((joint) => !hooks.includes(joint));
  puppet.joints.splice(0, puppet.joints.length, ...hooks, ...others);
  change(puppet);
  return puppet;
}

const mend = (
  puppet: Puppet,
  edit: (json: GltfJson) => void = () => undefined,
): Promise<Repaired> => {
  puppet.edits.push(edit);
  return runRepair(idleJoints, mainFile(buildPuppet(puppet)));
};

/** Of each vertex, the names of the nodes that move it, with their weights. */
function moversOf(part: SkinnedPart | undefined, { json }: ReturnType<typeof splitGlb>): string[] {
  if (part === undefined) throw new Error('the rig has no mesh');
  const joints = json.skins?.[0]?.joints ?? [];
  return Array.from(part.weights, (weight, k) =>
    weight === 0 ? '' : `${json.nodes[joints[part.slots[k] ?? -1] ?? -1]?.name} ${weight}`,
  );
}

const hookNodes = (bytes: Uint8Array): number[] =>
  splitGlb(bytes).json.nodes.flatMap(({ name }, node) =>
    name?.startsWith('lamp_hook') === true ? [node] : [],
  );

const hookSlots = (bytes: Uint8Array): number[] => {
  const nodes = hookNodes(bytes);
  return nodes.map((node) => splitGlb(bytes).json.skins?.[0]?.joints.indexOf(node) ?? -1);
};

it('the hooks stand before joints that move skin, so that indices change without them', () => {
  const bytes = mainFile(buildPuppet(hooked()));
  const count = splitGlb(bytes).json.skins?.[0]?.joints.length ?? 0;
  expect(Math.max(...hookSlots(bytes))).toBeLessThan(count - 3);
});

describe('joints that move nothing', () => {
  it('leave the skin with their end joints, and every vertex keeps its movers', async () => {
    const bytes = mainFile(buildPuppet(hooked()));
    const mended = await runRepair(idleJoints, bytes);
    const [before, after] = [splitGlb(bytes), splitGlb(mended.bytes)];
    expect(mended.remaining).toEqual([]);
    expect(mended.added).toEqual([]);
    expect(mended.moved).toBe(0);
    const gone = hookNodes(bytes);
    expect(gone).toHaveLength(3);
    expect(after.json.skins?.[0]?.joints).toEqual(
      before.json.skins?.[0]?.joints.filter((node) => !gone.includes(node)),
    );
    expect(after.json.nodes).toEqual(before.json.nodes);
    expect(after.json.animations).toEqual(before.json.animations);
    expect(moversOf(mended.after.rigs[0]?.parts[0], after)).toEqual(
      moversOf(mended.before.rigs[0]?.parts[0], before),
    );
  });

  it('take their inverse bind matrices with them, the others stay to the bit', async () => {
    const bytes = mainFile(buildPuppet(hooked()));
    const mended = await runRepair(idleJoints, bytes);
    const [before, after] = [mended.before.rigs[0]?.skins[0], mended.after.rigs[0]?.skins[0]];
    const gone = hookSlots(bytes);
    const kept = before?.inverseBind.filter((_, at) => !gone.includes(Math.floor(at / 16)));
    expect(kept?.length).toBe(16 * ((before?.jointOfSlot.length ?? 0) - 3));
    expect(after?.inverseBind).toEqual(kept);
    expect(after?.matrixCount).toBe(after?.jointOfSlot.length);
    expect(splitGlb(mended.bytes).binary.length + 64 * gone.length).toBe(
      splitGlb(bytes).binary.length,
    );
  });

  it('are gone from a skin without inverse bind matrices as well', async () => {
    const mended = await mend(hooked(), (json) => {
      delete json.skins?.[0]?.inverseBindMatrices;
    });
    expect(mended.found).toEqual(['skin.idle']);
    expect(mended.remaining).toEqual([]);
    expect(mended.moved).toBe(0);
  });

  it('are gone for all primitives that share joints, which go on sharing them', async () => {
    const mended = await mend(hooked(), (json) => {
      const own = json.meshes?.[0]?.primitives[0];
      if (own !== undefined) json.meshes?.[0]?.primitives.push({ ...own });
    });
    expect(mended.remaining).toEqual([]);
    expect(mended.moved).toBe(0);
    const [a, b] = splitGlb(mended.bytes).json.meshes?.[0]?.primitives ?? [];
    expect(b?.attributes).toEqual(a?.attributes);
  });

  it('leave the joints and matrices of whoever else reads them as they were', async () => {
    const puppet = hooked();
    puppet.edits.push((json) => {
      const [mesh, skin] = [json.meshes?.[0], json.skins?.[0]];
      const own = mesh?.primitives[0];
      if (own === undefined || skin === undefined) return;
      // A spare mesh that no skin moves reads the same joints.
      json.meshes?.push({ name: 'spare', primitives: [{ ...own }] });
      json.nodes.push({ name: 'spare', mesh: 1 });
      json.scenes[0]?.nodes.push(json.nodes.length - 1);
    });
    const bytes = mainFile(buildPuppet(puppet));
    const mended = await runRepair(idleJoints, bytes);
    expect(mended.remaining).toEqual([]);
    const [before, after] = [splitGlb(bytes), splitGlb(mended.bytes)];
    const spare = after.json.meshes?.[1]?.primitives[0]?.attributes;
    expect(spare).toEqual(before.json.meshes?.[1]?.primitives[0]?.attributes);
    expect(after.json.meshes?.[0]?.primitives[0]?.attributes.JOINTS_0).not.toBe(spare?.JOINTS_0);
    const view =
      before.json.bufferViews[before.json.accessors[spare?.JOINTS_0 ?? -1]?.bufferView ?? -1];
    const range = [
      view?.byteOffset ?? 0,
      (view?.byteOffset ?? 0) + (view?.byteLength ?? 0),
    ] as const;
    expect(Buffer.compare(after.binary.subarray(...range), before.binary.subarray(...range))).toBe(
      0,
    );
  });
});

describe('joints that move nothing stay', () => {
  /** Mends the mule so changed, and gives why it was left as it is. */
  async function whyLeft(puppet: Puppet, edit?: (json: GltfJson) => void): Promise<string[]> {
    const mended = await mend(puppet, edit);
    expect(mended.found).toEqual(['skin.idle']);
    expect(mended.remaining).toEqual(['skin.idle']);
    expect(mended.changes).toEqual([]);
    return mended.left.map(({ why }) => why);
  }

  const nodeOf = (json: GltfJson, wanted: string): number =>
    json.nodes.findIndex(({ name }) => name === wanted);

  it('with all above them, where an extension may speak of the lowest', async () => {
    const why = await whyLeft(hooked(), (json) => {
      const node = nodeOf(json, 'lamp_hook_3');
      Object.assign(json, { extensions: { EXAMPLE_lamps: { lamps: [{ node }] } } });
    });
    expect(why).toEqual([
      expect.stringMatching(/^2 joints stay: an extension may refer to node \d+$/),
    ]);
  });

  it('where a pointer leads to one', async () => {
    const why = await whyLeft(hooked(), (json) => {
      const pointer = `/nodes/${nodeOf(json, 'lamp_hook_2')}/extras/lit`;
      Object.assign(json, { extensions: { EXAMPLE_lamps: { pointer } } });
    });
    expect(why[0]).toMatch(/an extension may refer to node/);
  });

  it('but not for the same number in a material', async () => {
    const mended = await mend(hooked(), (json) => {
      const number = nodeOf(json, 'lamp_hook_2');
      Object.assign(json, { materials: [{ extensions: { EXAMPLE_glow: { number } } }] });
    });
    expect(mended.remaining).toEqual([]);
  });

  it('where a skin names one as its skeleton', async () => {
    const why = await whyLeft(hooked(), (json) => {
      Object.assign(json.skins?.[0] ?? {}, { skeleton: nodeOf(json, 'lamp_hook_3') });
    });
    expect(why).toEqual(['2 joints stay: a skin names one as its skeleton']);
  });

  it('where the skin has too few inverse bind matrices', async () => {
    const puppet = hooked((own) => {
      own.missingBindMatrices = 1;
    });
    expect((await whyLeft(puppet))[0]).toMatch(
      /the skin has \d+ inverse bind matrices for \d+ joints/,
    );
  });

  it('where a clip poses nothing else of the rig', async () => {
    const puppet = hooked((own) => {
      own.clips.push({ name: 'dangle', channels: [swing('lamp_hook_2', [1, 0, 0], [0, 20, 0])] });
    });
    expect((await whyLeft(puppet))[0]).toMatch(/the clip "dangle" poses no other joint/);
  });

  it('where a second skin moves the same mesh by another list', async () => {
    const why = await whyLeft(hooked(), (json) => {
      const [skin, node] = [json.skins?.[0], json.nodes.find(({ mesh }) => mesh === 0)];
      if (skin === undefined || node === undefined) return;
      json.nodes.push({ name: 'double', mesh: 0, skin: 1 }, { name: 'lantern' });
      const [double, lantern] = [json.nodes.length - 2, json.nodes.length - 1];
      json.scenes[0]?.nodes.push(double, lantern);
      const { inverseBindMatrices: _, ...rest } = skin;
      json.skins?.push({ ...rest, joints: [...skin.joints, lantern] });
    });
    expect(why).toEqual(['2 joints stay: two skins move the same mesh']);
  });

  it('where two skins are one rig by them alone', async () => {
    const why = await whyLeft(hooked(), (json) => {
      const lantern = json.nodes.push({ name: 'lantern' }) - 1;
      json.scenes[0]?.nodes.push(lantern);
      json.skins?.push({ name: 'lamps', joints: [lantern, nodeOf(json, 'lamp_hook_2')] });
    });
    expect(why).toEqual(['2 joints stay: without them, the skins would not be one rig any more']);
  });

  it('where they are all that a skin has', async () => {
    const why = await whyLeft(hooked(), (json) => {
      json.skins?.push({ name: 'lamps', joints: [nodeOf(json, 'lamp_hook_2')] });
    });
    expect(why).toEqual(['2 joints stay: a skin would be left without a joint']);
  });

  it('where a weight hangs on one that is no number that moves', async () => {
    const puppet = hooked((own) => {
      editInfluences(own, 'neck_low', 1, () => [
        ['neck_low', 1.25],
        ['lamp_hook_2', -0.25],
      ]);
    });
    expect(await whyLeft(puppet)).toEqual([
      '2 joints stay: one of them has a weight that is negative or not a number',
    ]);
  });

  it('where one of them has a weight that is too small to count', async () => {
    const puppet = hooked((own) => {
      editInfluences(own, 'neck_low', 1, () => [
        ['neck_low', 0.98],
        ['lamp_hook_2', 0.02],
      ]);
    });
    expect(await whyLeft(puppet)).toEqual([
      '2 joints stay: one of them moves vertices, if only a little; set its weights to 0 first',
    ]);
  });
});

it('only what lies above a joint that stays has to stay with it', async () => {
  const mended = await mend(hooked(), (json) => {
    const node = json.nodes.findIndex(({ name }) => name === 'lamp_hook_1');
    Object.assign(json, { extensions: { EXAMPLE_lamps: { node } } });
  });
  expect(mended.changes.map(({ before }) => before)).toEqual(['2 joints that move nothing']);
  expect(mended.left.map(({ why }) => why)).toEqual([
    expect.stringMatching(/^1 joint stays: an extension may refer to node \d+$/),
  ]);
});

it('an end joint alone is left where it is', async () => {
  const bytes = buildGlb('mule', { faults: [{ fault: faultNamed('idle-hooks'), amount: 1 }] });
  const mended = await runRepair(idleJoints, bytes);
  expect(mended.found).toEqual([]);
  expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
});
