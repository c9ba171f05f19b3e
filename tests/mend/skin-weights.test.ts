import { describe, expect, it, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { editInfluences } from '../../fixtures/kit/changes.js';
import { swing } from '../../fixtures/kit/clips.js';
import type { Influence } from '../../fixtures/kit/mesh-part.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import type { Puppet } from '../../fixtures/kit/puppet.js';
import { LARGEST_SHIFT } from '../../src/mend/mend-asset.js';
import { skinWeights } from '../../src/mend/repairs/skin-weights.js';
import type { SkinnedPart } from '../../src/rig/types.js';
import { splitGlb } from '../fixtures/read-back.js';
import { withLimit } from '../support/findings-of.js';
import { chainJoints, tinyGlb, tubeSkin } from '../support/tiny-rig.js';
import { runRepair } from './run-repair.js';

/** The steps of 1/255 that eight weights were rounded to are made larger by 36/26, and rounded again. */
const NEARLY = 1.5 / 255;

const STORAGES = ['float', 'u8', 'u16'] as const;

const stored = (puppet: Puppet, options: BuildOptions = {}): Uint8Array =>
  mainFile(buildPuppet(puppet, options));

/** The non-zero weights of a vertex by slot, as shares of 1. */
function weightsAt(part: SkinnedPart | undefined, vertex: number): [number, number][] {
  if (part === undefined) throw new Error('the rig has no mesh');
  const at = part.influences * vertex;
  return Array.from({ length: part.influences }, (_, k): [number, number] => [
    part.slots[at + k] ?? 0,
    part.weights[at + k] ?? 0,
  ]).filter(([, weight]) => weight !== 0);
}

describe('a sum that is off', () => {
  /** A vertex at the world's origin, short of a fifth of its weight: there a sum moves nothing. */
  function shortAtOrigin(): Puppet {
    const puppet = raisePuppet('mule');
    puppet.clips.splice(0);
    const part = puppet.parts[0];
    const vertex = part?.influences.findIndex(([own]) => own?.[0] === 'neck_low') ?? -1;
    if (part === undefined || vertex === -1) throw new Error('the neck has no vertex');
    part.positions[vertex] = [0, 0, 0];
    part.influences[vertex] = [
      ['neck_low', 0.5],
      ['neck_high', 0.3],
    ];
    return puppet;
  }

  test.each(STORAGES)('is made full where no vertex moves for it, in %s', async (weights) => {
    const mended = await runRepair(skinWeights, stored(shortAtOrigin(), { weights }));
    expect(mended.found).toEqual(['skin.sum']);
    expect(mended.remaining).toEqual([]);
    expect(mended.moved).toBeLessThan(LARGEST_SHIFT);
    expect(mended.changes.map(({ before }) => before)).toEqual([
      `1 vertex with weights that do not sum to ${{ float: '1', u8: '255 steps', u16: '65535 steps' }[weights]}`,
    ]);
  });

  it('is left alone once a clip takes the vertex elsewhere', async () => {
    const puppet = shortAtOrigin();
    puppet.clips.push({ name: 'nod', channels: [swing('trunk', [1, 0, 0], [0, 5, 0])] });
    const bytes = stored(puppet);
    const mended = await runRepair(skinWeights, bytes);
    expect(mended.remaining).toEqual(['skin.sum']);
    expect(mended.left.map(({ why }) => why.split(':')[0])).toEqual([
      '1 vertex with weights that do not sum to 1',
    ]);
    expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
  });

  it('stays as it was where only the repeated joint on the vertex can be mended', async () => {
    const puppet = raisePuppet('mule');
    editInfluences(puppet, 'neck_low', 2, () => [
      ['neck_low', 0.5],
      ['neck_low', 0.375],
    ]);
    const mended = await runRepair(skinWeights, stored(puppet));
    expect(mended.found).toEqual(['skin.sum', 'skin.repeat']);
    expect(mended.remaining).toEqual(['skin.sum']);
    expect(mended.moved).toBeLessThan(LARGEST_SHIFT);
    expect(mended.changes.map(({ rule }) => rule)).toEqual(['skin.repeat']);
    expect(mended.left.map(({ rule }) => rule)).toEqual(['skin.sum']);
  });
});

it('a sum that only the rounding of floats keeps off 1 is left alone, and said to be', async () => {
  const points = [
    [0, 0, 0],
    [0, 1, 0],
    [0, 2, 0],
  ] as const;
  const skin = tubeSkin(points, 0.1, [0, 0, 1]);
  // Three thirds as 32-bit floats sum to 1 + 2^-25.
  const influences = skin.influences.map((): Influence[] => [
    [0, 1 / 3],
    [1, 1 / 3],
    [2, 1 / 3],
  ]);
  const bytes = tinyGlb(chainJoints(points), { ...skin, influences });
  const strict = withLimit('skin.sum', { warn: 1e-9, error: 1 });
  const mended = await runRepair(skinWeights, bytes, strict);
  expect(mended.found).toEqual(['skin.sum']);
  expect(mended.left.map(({ why }) => why.split(': ')[1])).toEqual([
    'they sum to 1 as exactly as 32-bit floats can; set a limit of at least 0.000001',
  ]);
  expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
});

describe('too many joints on a vertex', () => {
  const eight = (puppet: Puppet): readonly Influence[] =>
    puppet.joints
      .filter(({ weighted, name }) => weighted && !/_[LR]$/.test(name) && !name.startsWith('tail'))
      .slice(0, 8)
      .map(
        ({ name }, at, all): Influence => [name, (at + 1) / ((all.length * (all.length + 1)) / 2)],
      );

  test.each(STORAGES)('are pruned from eight to four in %s, the largest kept', async (weights) => {
    const puppet = raisePuppet('mule');
    const crowd = eight(puppet);
    expect(crowd).toHaveLength(8);
    editInfluences(puppet, 'neck_low', 3, () => [...crowd]);
    const mended = await runRepair(skinWeights, stored(puppet, { weights }));
    expect(mended.found).toEqual(['skin.budget']);
    expect(mended.remaining).toEqual([]);
    expect(mended.moved).toBeLessThan(LARGEST_SHIFT);
    const [before, after] = [mended.before.rigs[0]?.parts[0], mended.after.rigs[0]?.parts[0]];
    const crowded = Array.from({ length: before?.vertexCount ?? 0 }, (_, vertex) => vertex).filter(
      (vertex) => weightsAt(before, vertex).length === 8,
    );
    expect(crowded).toHaveLength(3);
    for (const vertex of crowded) {
      const largest = weightsAt(before, vertex).slice(4);
      const kept = weightsAt(after, vertex);
      expect(kept.map(([slot]) => slot)).toEqual(largest.map(([slot]) => slot));
      // 5, 6, 7 and 8 of 36 become 5, 6, 7 and 8 of 26, nearly.
      kept.forEach(([, weight], at) => {
        expect(Math.abs(weight - (5 + at) / 26)).toBeLessThan(NEARLY);
      });
      // They fill the first set, for whoever reads one set alone.
      expect(after?.weights.subarray(8 * vertex + 4, 8 * vertex + 8)).toEqual(new Float32Array(4));
      // glTF 2.0, 3.7.3.3: joints without weight SHOULD be 0.
      expect([...(after?.slots.subarray(8 * vertex + 4, 8 * vertex + 8) ?? [])]).toEqual([
        0, 0, 0, 0,
      ]);
    }
  });

  it("are pruned to the standard's number", async () => {
    const puppet = raisePuppet('mule');
    const crowd = eight(puppet);
    editInfluences(puppet, 'neck_low', 3, () => [...crowd]);
    const six = withLimit('skin.budget', { influences: 6 });
    const mended = await runRepair(skinWeights, stored(puppet), six);
    expect(mended.found).toEqual(['skin.budget']);
    expect(mended.remaining).toEqual([]);
    const most = Math.max(
      ...Array.from(
        { length: mended.after.rigs[0]?.parts[0]?.vertexCount ?? 0 },
        (_, vertex) => weightsAt(mended.after.rigs[0]?.parts[0], vertex).length,
      ),
    );
    expect(most).toBe(6);
  });

  it('are left alone where a clip would show it, and counted', async () => {
    const puppet = raisePuppet('mule', { faults: [faultNamed('crowded-neck')] });
    puppet.clips.push({ name: 'look', channels: [swing('head', [1, 0, 0], [0, 20, 0])] });
    const bytes = stored(puppet);
    const mended = await runRepair(skinWeights, bytes);
    expect(mended.remaining).toEqual(['skin.budget']);
    expect(mended.left[0]?.why).toMatch(
      /^3 vertices with more than 4 joints: 4 joints at most would move a vertex by at least \S+ % of the size/,
    );
    expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
  });
});

it('a mesh that two skins move is left alone where only one of them hides what is dropped', async () => {
  const puppet = raisePuppet('mule', { faults: [faultNamed('crowded-neck')] });
  puppet.edits.push((json) => {
    const skin = json.skins?.[0];
    if (skin === undefined) return;
    // Without its inverse bind matrices the second skin moves every joint's share elsewhere.
    const { inverseBindMatrices: _, ...rest } = skin;
    json.skins?.push(rest);
    json.scenes[0]?.nodes.push(json.nodes.push({ name: 'double', mesh: 0, skin: 1 }) - 1);
  });
  const bytes = stored(puppet);
  const mended = await runRepair(skinWeights, bytes);
  expect(mended.found).toEqual(['skin.budget']);
  expect(mended.changes).toEqual([]);
  expect(mended.left.map(({ rule }) => rule)).toEqual(['skin.budget']);
  expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
});

it('a negative weight is left alone where a clip would show that it goes', async () => {
  const puppet = raisePuppet('heron', { faults: [faultNamed('negative-weight')] });
  puppet.clips.push({ name: 'stoop', channels: [swing('neck_high', [1, 0, 0], [0, 20, 0])] });
  const bytes = stored(puppet);
  const mended = await runRepair(skinWeights, bytes);
  expect(mended.remaining).toEqual(['skin.repeat']);
  expect(mended.left).toHaveLength(1);
  expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
});

it('a vertex on an index past the joints is left alone', async () => {
  const puppet = raisePuppet('heron');
  const past = puppet.joints.length + 3;
  editInfluences(puppet, 'neck_mid', 2, () => [
    [past, 0.5],
    [past, 0.5],
  ]);
  const bytes = stored(puppet);
  const mended = await runRepair(skinWeights, bytes);
  expect(mended.found).toEqual(['skin.repeat']);
  expect(mended.left[0]?.why).toMatch(
    /^2 vertices .* use an index that is not a joint of the skin/,
  );
  expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
});

it('sets that are stored as two kinds of numbers are left alone', async () => {
  const puppet = raisePuppet('mule', { faults: [faultNamed('crowded-neck')] });
  puppet.edits.push((json) => {
    const accessor = json.accessors[json.meshes?.[0]?.primitives[0]?.attributes.WEIGHTS_1 ?? -1];
    const view = json.bufferViews[accessor?.bufferView ?? -1];
    // The first bytes of each float, read as four weights.
    Object.assign(accessor ?? {}, { componentType: 5121, normalized: true });
    Object.assign(view ?? {}, { byteStride: 16 });
  });
  const bytes = stored(puppet);
  const mended = await runRepair(skinWeights, bytes);
  expect(mended.found).toContain('skin.budget');
  expect(mended.changes).toEqual([]);
  expect(mended.left.map(({ why }) => why.split(': ')[1])).toContain(
    'the sets of weights are stored as two kinds of numbers; export them as one kind',
  );
  expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
});

describe('accessors that several primitives read', () => {
  const points = [
    [0, 0, 0],
    [0, 1, 0],
    [0, 2, 0],
  ] as const;

  /** A tube whose first vertex carries one joint twice, and whatever else is done to the file. */
  function repeated(edit: Parameters<typeof tinyGlb>[2]): Uint8Array {
    const skin = tubeSkin(points, 0.1, [0, 0, 1]);
    const influences = [...skin.influences];
    influences[0] = [
      [0, 0.75],
      [0, 0.25],
    ];
    return tinyGlb(chainJoints(points), { ...skin, influences }, edit);
  }

  it('are mended in place once, for primitives with the same vertices', async () => {
    const bytes = repeated((json) => {
      const own = json.meshes?.[0]?.primitives[0];
      if (own !== undefined) json.meshes?.[0]?.primitives.push({ ...own });
    });
    const mended = await runRepair(skinWeights, bytes);
    expect(mended.remaining).toEqual([]);
    expect(mended.moved).toBe(0);
    expect(mended.changes).toHaveLength(1);
    // Nothing new was stored, and nothing but the one weight and its fellow differ.
    expect(mended.bytes.length).toBe(bytes.length);
    expect(splitGlb(mended.bytes).json).toEqual(splitGlb(bytes).json);
  });

  it('keep what they hold for one that reads them with other places', async () => {
    const bytes = repeated((json) => {
      const own = json.meshes?.[0]?.primitives[0];
      const place = json.accessors[own?.attributes.POSITION ?? -1];
      if (own === undefined || place === undefined) return;
      const other = json.accessors.push({ ...place }) - 1;
      // A second mesh that no skin moves: its weights are nobody's business.
      json.meshes?.push({
        name: 'spare',
        primitives: [{ ...own, attributes: { ...own.attributes, POSITION: other } }],
      });
      json.scenes[0]?.nodes.push(json.nodes.push({ name: 'spare', mesh: 1 }) - 1);
    });
    const before = splitGlb(bytes).json.meshes?.[1]?.primitives[0]?.attributes ?? {};
    const mended = await runRepair(skinWeights, bytes);
    expect(mended.remaining).toEqual([]);
    const { json, binary } = splitGlb(mended.bytes);
    expect(json.meshes?.[1]?.primitives[0]?.attributes).toEqual(before);
    const own = json.meshes?.[0]?.primitives[0]?.attributes ?? {};
    expect(own.WEIGHTS_0).not.toBe(before.WEIGHTS_0);
    expect(firstFloats(json, binary, own.WEIGHTS_0)).toEqual([1, 0, 0, 0]);
    expect(firstFloats(json, binary, before.WEIGHTS_0)).toEqual([0.75, 0.25, 0, 0]);
    expect(Buffer.compare((await runRepair(skinWeights, mended.bytes)).bytes, mended.bytes)).toBe(
      0,
    );
  });
});

function firstFloats(
  { accessors, bufferViews }: ReturnType<typeof splitGlb>['json'],
  binary: Uint8Array,
  index = -1,
): number[] {
  const view = bufferViews[accessors[index]?.bufferView ?? -1];
  const data = new DataView(binary.buffer, binary.byteOffset + (view?.byteOffset ?? 0));
  return [0, 4, 8, 12].map((at) => data.getFloat32(at, true));
}

it('a rule that is switched off is not answered', async () => {
  const bytes = buildGlb('mule', { faults: [faultNamed('crowded-neck')] });
  const mended = await runRepair(skinWeights, bytes, {
    levels: new Map([['skin.budget', 'none']]),
  });
  expect(mended.found).toEqual([]);
  expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
});
