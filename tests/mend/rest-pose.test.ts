// Source: three.js (npm `three`) for where vertices stand, see `skins-in-three.ts`; the pose in which a
// mesh is bound is glTF 2.0, 3.7.3 Skins.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { buildGlb, buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { glb } from '../../fixtures/kit/containers.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { mendAsset } from '../../src/mend/mend-asset.js';
import { restPose } from '../../src/mend/repairs/rest-pose.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { splitGlb } from '../fixtures/read-back.js';
import { checkBuilt } from '../support/check-built.js';
import { tempFolder } from '../support/temp-folder.js';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';
import { applyRepair, findingsOf } from './apply-repair.js';
import { dressed } from './dressed.js';
import { farthest, farthestSkin, type Pose, placesIn, REST, reachOf } from './skins-in-three.js';

const SAME = 1e-5;

const isRest = ([clip]: Pose): boolean => clip === -1;
const isClip = (pose: Pose): boolean => !isRest(pose);

describe.each(['bent-elbow', 'stored-in-a-wave'])('%s', (name) => {
  const fault = faultNamed(name);
  const bytes = buildGlb(fault.puppet, { faults: [fault] });

  test('is left alone until somebody says which pose is the truth', async () => {
    const mended = await applyRepair(bytes, restPose);
    expect(mended.changes).toEqual([]);
    expect(mended.left.map(({ why }) => why)).toEqual([
      expect.stringMatching(/--rest-from bind .* --rest-from pose/),
    ]);
    expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
  });

  test('is told what either way moves, as the proofs of both then show, and which to take', async () => {
    const told = (await applyRepair(bytes, restPose)).left[0]?.why ?? '';
    const [asStored = Number.NaN, inClips = Number.NaN] = Array.from(
      told.matchAll(/by up to (\S+) % of size/g),
      ([, percent]) => Number(percent) / 100,
    );
    const { shift: bind } = await applyRepair(bytes, restPose, { restFrom: 'bind' });
    const { shift: pose } = await applyRepair(bytes, restPose, { restFrom: 'pose' });
    expect(asStored / bind).toBeCloseTo(1, 2);
    // Between two keys, where the proof looks too, it can be a little more.
    expect(inClips / pose).toBeGreaterThan(0.9);
    expect(inClips / pose).toBeLessThan(1.01);
    // Binding it in the pose of a clip shows less, and is still not what a rigger wants.
    expect(pose).toBeLessThan(bind);
    expect(told).toMatch(
      name === 'bent-elbow'
        ? /\. --rest-from pose changes less; allow the change with --allow-change rest\.bind$/
        : /\. The stored pose is one of the clip "wave" \(at \S+ s\), and the pose of a clip makes a poor bind pose: .*\. Use --rest-from bind; allow the change with --allow-change rest\.bind$/,
    );
  });

  test('is stored in its bind pose, and plays its clips as it did', async () => {
    const mended = await applyRepair(bytes, restPose, { restFrom: 'bind' });
    expect(mended.changes).toHaveLength(1);
    expect(await findingsOf(mended.bytes)).toEqual([]);
    expect(await farthestSkin(bytes, mended.bytes, isClip)).toBeLessThan(SAME);
    // The stored pose is that of the puppet without its fault.
    const sound = buildGlb(fault.puppet, {});
    expect(await farthestSkin(sound, mended.bytes, isRest)).toBeLessThan(SAME);
    expect(await farthestSkin(sound, bytes, isRest)).toBeGreaterThan(0.01);
    const twice = await applyRepair(mended.bytes, restPose, { restFrom: 'bind' });
    expect(Buffer.compare(twice.bytes, mended.bytes)).toBe(0);
  });

  test('is bound as it stands, and stands as it did', async () => {
    const mended = await applyRepair(bytes, restPose, { restFrom: 'pose' });
    expect(mended.changes).toHaveLength(1);
    const found = await findingsOf(mended.bytes);
    expect(found.filter((line) => line.startsWith('rest.'))).toEqual([]);
    expect(await farthestSkin(bytes, mended.bytes, isRest)).toBeLessThan(SAME);
    // Vertices between joints bend from another shape in clips: little, but seen.
    const inClips = await farthestSkin(bytes, mended.bytes, isClip);
    expect(inClips).toBeGreaterThan(SAME);
    expect(inClips).toBeLessThan(0.05);
  });
});

describe.each(['float', 'quantised'] as const)(
  'with %s positions, a rig that cannot be bound as it stands',
  (positions) => {
    const fault = faultNamed('stored-in-a-wave');

    /** The same asset with other first weights on so many vertices. */
    function weighted(weights: readonly number[], vertices: number): Uint8Array {
      const bytes = buildGlb(fault.puppet, { faults: [fault], positions });
      const { json, binary } = splitGlb(bytes);
      const at = json.meshes?.[0]?.primitives[0]?.attributes.WEIGHTS_0 ?? -1;
      const start =
        json.bufferViews[json.accessors[at]?.bufferView ?? -1]?.byteOffset ?? Number.NaN;
      const view = new DataView(binary.buffer, binary.byteOffset + start);
      for (let vertex = 0; vertex < vertices; vertex++)
        for (const [k, weight] of weights.entries())
          view.setFloat32(16 * vertex + 4 * k, weight, true);
      return bytes;
    }

    test.each([
      [
        [Number.NaN],
        5,
        /^5 of 1916 vertices of "marionette_hide" have a weight that is not a number, /,
      ],
      [[Number.NaN], 1916, /^1916 of 1916 vertices .* paint their weights again first$/],
      [[Number.NEGATIVE_INFINITY], 2, /^2 of 1916 vertices /],
      [
        [3e38, -3e38],
        1916,
        /^the weights of "marionette_hide" put vertices too far away to be measured; /,
      ],
    ])(
      'because of weights of %s on %d vertices is told so, and is left as it is',
      async (weights, count, why) => {
        const bytes = weighted(weights, count);
        const mended = await applyRepair(bytes, restPose, { restFrom: 'pose' });
        expect(mended.left.map((item) => item.why)).toEqual([expect.stringMatching(why)]);
        expect(mended.changes).toEqual([]);
        expect(Buffer.compare(mended.bytes, bytes)).toBe(0);
      },
    );

    test('is told to be stored in its bind pose, and why', async () => {
      const { left } = await applyRepair(weighted([Number.NaN], 5), restPose);
      expect(left.map((item) => item.why)).toEqual([
        expect.stringMatching(
          /--rest-from pose is not possible: 5 of 1916 vertices .*\. Use --rest-from bind; allow the change /,
        ),
      ]);
    });
  },
);

test('where no vertex between joints bends from another shape, nothing is seen of binding the mesh anew', async () => {
  const puppet = raisePuppet('marionette', { faults: [faultNamed('bent-elbow')] });
  for (const part of puppet.parts)
    part.influences = part.influences.map(([first]) =>
      first === undefined ? [] : [[first[0], 1]],
    );
  const bytes = mainFile(buildPuppet(puppet));
  const [told] = (await applyRepair(bytes, restPose)).left;
  expect(told?.why).toMatch(
    /the stored pose and the clips look as before\. --rest-from pose changes less; nothing/,
  );
  const mended = await applyRepair(bytes, restPose, { restFrom: 'pose' });
  expect(mended.changes).toHaveLength(1);
  expect(mended.shift).toBeLessThan(SAME);
});

test('what a finding tells of a leaning rig is what its mend moves', async () => {
  // The heaviest joint leans, and the neck leans back: the bind pose stands up where the rig leans.
  const puppet = raisePuppet('heron');
  puppet.edits.push((json) => {
    for (const node of json.nodes) {
      const lean = { body: 0.2, neck_low: -0.4 }[node.name ?? ''];
      if (lean !== undefined) node.rotation = [lean, 0, 0, Math.sqrt(1 - lean ** 2)];
    }
  });
  const built = buildPuppet(puppet);
  const { findings } = await checkBuilt(built);
  const told = findings.find(({ rule }) => rule === 'rest.bind')?.measured ?? 0;
  const mended = await applyRepair(mainFile(built), restPose, { restFrom: 'bind' });
  expect(mended.changes).toHaveLength(1);
  expect(told).toBeGreaterThan(5);
  expect(100 * mended.shift).toBeCloseTo(told, 4);
});

test('normals and morph targets are bound along, each as it looked', async () => {
  const fault = faultNamed('bent-elbow');
  const bytes = dressed(
    'marionette',
    (puppet) => fault.apply(puppet, fault.failing),
    (dresser) => {
      const primitive = dresser.json.meshes?.[0]?.primitives[0];
      const count = dresser.json.accessors[primitive?.attributes.POSITION ?? -1]?.count ?? 0;
      const ring = (at: number): [number, number, number] => [Math.cos(at), Math.sin(at), 0];
      const normals = Array.from({ length: count }, (_, at) => ring(at)).flat();
      const shifts = Array.from({ length: count }, (_, at) => [0.1, 0.02 * (at % 5), -0.05]).flat();
      const bends = Array.from({ length: count }, (_, at) => [0, 0.1, 0.01 * (at % 7)]).flat();
      const normal = dresser.accessor(Float32Array.from(normals), 'VEC3');
      const bounds = { min: [0, 0, 0], max: [1, 1, 1] };
      const position = dresser.accessor(Float32Array.from(shifts), 'VEC3', bounds);
      const bend = dresser.accessor(Float32Array.from(bends), 'VEC3');
      Object.assign(primitive?.attributes ?? {}, { NORMAL: normal });
      Object.assign(primitive ?? {}, { targets: [{ POSITION: position, NORMAL: bend }] });
    },
  );
  const mended = await applyRepair(bytes, restPose, { restFrom: 'pose' });
  const [before, after] = [await loadInThree(bytes), await loadInThree(mended.bytes)];
  const [old, made] = [placesIn(before, REST), placesIn(after, REST)];
  expect(farthest(old, made)).toBeLessThan(SAME * reachOf(old));
  for (const share of [0.5, 1]) {
    const [a, b] = [morphed(before, share), morphed(after, share)];
    expect(a.places.length).toBe(old.length);
    expect(farthest(a.places, b.places)).toBeLessThan(SAME * reachOf(a.places));
    expect(farthest(a.normals, b.normals)).toBeLessThan(1e-4);
    // The test can tell: the target moves the mesh.
    expect(farthest(a.places, old)).toBeGreaterThan(0.01);
  }
});

test('a mesh that another skin shows, too, is not bound anew', async () => {
  const fault = faultNamed('bent-elbow');
  const bytes = dressed(
    'marionette',
    (puppet) => fault.apply(puppet, fault.failing),
    (dresser) => {
      dresser.hang('stage', { name: 'twin', mesh: 0 });
    },
  );
  const mended = await applyRepair(bytes, restPose, { restFrom: 'pose' });
  expect(mended.changes).toEqual([]);
  expect(mended.left[0]?.why).toMatch(
    /is also shown by another node, with another skin or without a skin$/,
  );
  const { json } = splitGlb(mended.bytes);
  expect(json).toEqual(splitGlb(bytes).json);
});

test('what an extension says by the stored pose keeps it', async () => {
  const fault = faultNamed('bent-elbow');
  const apply = (puppet: Parameters<typeof fault.apply>[0]): void =>
    fault.apply(puppet, fault.failing);
  const bytes = dressed('marionette', apply, (dresser) => {
    const joints = [{ node: dresser.named('forearm_L') }];
    dresser.json.extensionsUsed = ['VRMC_springBone'];
    dresser.json.extensions = {
      VRMC_springBone: { specVersion: '1.0', springs: [{ name: 'sway', joints }] },
    };
  });
  const mended = await applyRepair(bytes, restPose, { restFrom: 'bind' });
  expect(mended.changes).toEqual([]);
  expect(mended.left.map(({ why }) => why)).toEqual([
    'an extension names "forearm_L", and its data depends on the stored pose',
  ]);
});

/** Places and unit normals with the first morph target at a share of its weight, in the stored pose. */
function morphed(scene: LoadedScene, share: number): { places: number[]; normals: number[] } {
  placesIn(scene, REST);
  const places: number[] = [];
  const normals: number[] = [];
  for (const { object } of scene.meshes) {
    const { geometry } = object;
    const [position, normal] = [geometry.getAttribute('position'), geometry.getAttribute('normal')];
    const { position: moves = [], normal: turns = [] } = geometry.morphAttributes;
    const [move, turn] = [moves[0], turns[0]];
    if (move === undefined || turn === undefined) throw new Error('there is no target');
    for (let at = 0; at < position.count; at++) {
      const base = new Vector3().fromBufferAttribute(position, at);
      const own = base.clone().addScaledVector(new Vector3().fromBufferAttribute(move, at), share);
      const up = new Vector3()
        .fromBufferAttribute(normal, at)
        .addScaledVector(new Vector3().fromBufferAttribute(turn, at), share);
      // A direction is the way between two places that the same joints move.
      const [here, there] = [own.clone(), own.clone().add(up)];
      object.applyBoneTransform(at, here);
      object.applyBoneTransform(at, there);
      places.push(...here.toArray());
      normals.push(...there.sub(here).normalize().toArray());
    }
  }
  return { places, normals };
}

test('what clips keep of the stored pose is stored once, and nothing is kept that stays', async () => {
  // A marionette that waves as stored, in clips that turn nothing but one joint each.
  const fault = faultNamed('stored-in-a-wave');
  const { json, binary } = splitGlb(buildGlb(fault.puppet, { faults: [fault] }));
  const [clip] = json.animations ?? [];
  if (clip === undefined) throw new Error('a clip was there');
  const [channel] = clip.channels.splice(0);
  if (channel === undefined) throw new Error('a channel was there');
  clip.channels.push(channel);
  const clips = ['bow', 'nod', 'wink'].map((name) => ({ ...structuredClone(clip), name }));
  Object.assign(json, { animations: clips });
  const bytes = glb(JSON.stringify(json), binary);
  const mended = await applyRepair(bytes, restPose, { restFrom: 'bind' });
  expect(await farthestSkin(bytes, mended.bytes, isClip)).toBeLessThan(SAME);
  const after = splitGlb(mended.bytes).json;
  const added = after.animations?.map(({ channels }) => channels.slice(1)) ?? [];
  // Joints that wave are turned: they stand where they stood on their parents, as large as they were.
  expect([...new Set(added.flat().map(({ target }) => target.path))]).toEqual(['rotation']);
  const [first = []] = added;
  expect(first.length).toBeGreaterThan(1);
  expect(added.map(({ length }) => length)).toEqual(clips.map(() => first.length));
  // One time for all, and one rotation a joint for all clips.
  expect(after.accessors.length - json.accessors.length).toBe(1 + first.length);
  const waving = new Set(first.map(({ target }) => target.node));
  for (const [index, node] of after.nodes.entries())
    if (waving.has(index)) {
      expect(node.translation).toEqual(json.nodes[index]?.translation);
      expect(node.scale).toEqual(json.nodes[index]?.scale);
    }
});

test('a pose of many joints is not taken for a bind pose, be it of no clip', async () => {
  const fault = faultNamed('stored-in-a-wave');
  const bytes = dressed(
    fault.puppet,
    (puppet) => fault.apply(puppet, fault.failing),
    ({ json }) => {
      delete json.animations;
      for (const node of json.nodes)
        if (/thigh|shin|spine|chest/.test(node.name ?? ''))
          Object.assign(node, { rotation: [0.2, 0, 0, Math.sqrt(0.96)] });
    },
  );
  const [told] = (await applyRepair(bytes, restPose)).left;
  expect(told?.why).toMatch(
    /differs from the bind pose at \d+ joints, as a pose does, .*\. Use --rest-from bind; allow/,
  );
});

test('a pair that hangs wrong is hung together, although the new bind pose is not symmetric', async () => {
  const fault = faultNamed('thighs-on-the-carrier');
  const bytes = dressed(
    fault.puppet,
    (puppet) => fault.apply(puppet, fault.failing),
    (dresser) => {
      delete dresser.json.animations;
      const thigh = dresser.node('thigh_L');
      thigh.translation = (thigh.translation ?? [0, 0, 0]).map((part) => 0.1 * part);
    },
  );
  const path = join(tempFolder(), 'asymmetric.glb');
  writeFileSync(path, bytes);
  const { changes } = await mendAsset(path, defaultSettings(rules), REPAIRS, {
    restFrom: 'pose',
    allow: ['rest.bind'],
    also: ['chain.parent'],
  });
  const hung = changes.filter(({ rule }) => rule === 'chain.parent');
  expect(hung.map(({ place }) => place)).toEqual(['carrier/thigh_L', 'carrier/thigh_R']);
});
