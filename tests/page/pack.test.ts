import { describe, expect, it } from 'vitest';
import { build } from '../../fixtures/build.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { makeScene } from '../../src/draw/make-scene.js';
import { jointPlaces, restMesh, restWorld } from '../../src/draw/rest-mesh.js';
import type { RigScene, Scene, SceneClip, SceneMesh } from '../../src/draw/scene.js';
import { strongestFour } from '../../src/draw/strongest-four.js';
import { packMesh, packScene } from '../../src/page/pack.js';
import { CLIP_LETTERS, packClips } from '../../src/page/pack-clips.js';
import type { Packed } from '../../src/page/page-data.js';
import { lightScene, MOST_TRIANGLES, trianglesOf } from '../../src/page/simplify.js';
import type { ApprovedAsset, RigModel } from '../../src/rig/types.js';
import { bigRig } from '../bench/big-rig.js';
import { APPROVED_NAME, approvedOf } from '../support/approved-of.js';

async function sceneOf(bytes: Uint8Array, approved: ApprovedAsset | null = null): Promise<Scene> {
  let scene: Scene = { rigs: [] };
  const settings = defaultSettings([]);
  const onModel = (model: RigModel): void => {
    scene = makeScene(model, settings.wanted, approved);
  };
  await checkAssetBytes(bytes, { settings, approved, onModel });
  return scene;
}

function fileOf(built: ReturnType<typeof build>): Uint8Array {
  return built.files.get(built.main) ?? new Uint8Array();
}

function unpack({ type, base64 }: Packed): number[] {
  const bytes = Uint8Array.from(Buffer.from(base64, 'base64'));
  const view = new DataView(bytes.buffer);
  const size = { u8: 1, u16: 2, u32: 4, f32: 4 }[type];
  return Array.from({ length: bytes.length / size }, (_, at) => {
    if (type === 'u8') return view.getUint8(at);
    if (type === 'u16') return view.getUint16(2 * at, true);
    return type === 'u32' ? view.getUint32(4 * at, true) : view.getFloat32(4 * at, true);
  });
}

it('takes weights that do not sum to 1 as they are stored, and five as their sum', () => {
  const part = {
    vertexCount: 3,
    influences: 5,
    slots: Uint16Array.of(0, 1, 2, 3, 4, 0, 1, 2, 3, 4, 0, 1, 2, 3, 4),
    weights: Float32Array.of(0.25, 0.25, 0, 0, 0, 0.3, 0.2, 0.2, 0.2, 0.1, 0, 0, 0, 0, 0),
  };
  const { weights } = strongestFour(part);
  const [half, whole, none] = [0, 4, 8].map((at) => [...weights.subarray(at, at + 4)]);
  expect(half).toEqual([0.25, 0.25, 0, 0]);
  expect(whole?.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 6);
  expect(none).toEqual([0, 0, 0, 0]);
  const mesh = { label: '', skin: 0, positions: new Float32Array(9), triangles: new Uint32Array() };
  const steps = unpack(packMesh({ ...mesh, ...strongestFour(part) }).weights);
  expect(steps.slice(0, 4)).toEqual([64, 64, 0, 0]);
  expect(steps.slice(4, 8).reduce((sum, step) => sum + step, 0)).toBe(255);
  expect(steps.slice(8)).toEqual([0, 0, 0, 0]);
});

describe('what the viewer is handed', () => {
  it('is the mesh to a step of 1/65535 of its box, and its weights in 255 steps', async () => {
    const scene = await sceneOf(fileOf(build('heron')));
    const [rig] = scene.rigs;
    const [mesh] = rig?.meshes ?? [];
    const [page] = (await packScene(scene)).rigs;
    const [pageMesh] = page?.meshes ?? [];
    if (mesh === undefined || pageMesh === undefined) throw new Error('no mesh');
    const { origin, step } = pageMesh;
    const stored = unpack(pageMesh.positions);
    expect(stored).toHaveLength(mesh.positions.length);
    const misses = stored.map((value, i) => {
      const [from = 0, by = 0] = [origin[i % 3], step[i % 3]];
      return Math.abs(from + by * value - (mesh.positions[i] ?? 0)) / by;
    });
    expect(Math.max(...misses)).toBeLessThanOrEqual(0.51);
    expect(unpack(pageMesh.triangles)).toEqual([...mesh.triangles]);
    expect(unpack(pageMesh.slots)).toEqual([...mesh.slots]);
    const weights = unpack(pageMesh.weights);
    const sums = Array.from({ length: weights.length / 4 }, (_, vertex) =>
      weights.slice(4 * vertex, 4 * vertex + 4).reduce((sum, weight) => sum + weight, 0),
    );
    expect(new Set(sums)).toEqual(new Set([255]));
    const off = weights.map((weight, at) => Math.abs(weight / 255 - (mesh.weights[at] ?? 0)));
    expect(Math.max(...off)).toBeLessThan(1 / 255);
  });

  it('a mesh of over 100,000 triangles comes simplified, and says so', async () => {
    const scene = await sceneOf(
      bigRig({ vertices: 100_000, joints: 101, keys: 0, textureBytes: 0 }),
    );
    const before = trianglesOf(scene);
    expect(before).toBeGreaterThan(MOST_TRIANGLES);
    const light = await lightScene(scene);
    expect(light.after).toBeLessThanOrEqual(MOST_TRIANGLES);
    expect(light.after).toBeGreaterThan(MOST_TRIANGLES / 2);
    const [rig] = (await packScene(scene)).rigs;
    expect(rig?.notes.join(' ')).toContain(`${light.after} of its ${before} triangles`);
    // The shape stays: the box of what is left is that of the whole.
    expect(boxOf(light.scene)).toEqual(boxOf(scene).map((value) => expect.closeTo(value, 2)));
    // Every vertex left is one of the mesh's own, with its own weights.
    const own = new Set(vertexKeys(scene));
    expect(vertexKeys(light.scene).every((key) => own.has(key))).toBe(true);
    const small = await sceneOf(fileOf(build('mule')));
    expect((await lightScene(small)).scene).toBe(small);
    expect((await packScene(small)).rigs[0]?.notes).toEqual([]);
  }, 30_000);

  it('triangles that share no vertex are simplified, too', async () => {
    const scene = await sceneOf(
      bigRig({ vertices: 100_000, joints: 101, keys: 0, textureBytes: 0 }),
    );
    const soup: Scene = {
      rigs: scene.rigs.map((rig) => ({ ...rig, meshes: rig.meshes.map(torn) })),
    };
    const light = await lightScene(soup);
    expect(light.before).toBe(trianglesOf(scene));
    expect(light.after).toBeLessThanOrEqual(MOST_TRIANGLES);
    expect(light.after).toBeGreaterThan(MOST_TRIANGLES / 10);
    expect(boxOf(light.scene)).toEqual(boxOf(scene).map((value) => expect.closeTo(value, 1)));
  }, 30_000);

  it('vertices that no triangle has are left out where they outnumber corners', async () => {
    const scene = await sceneOf(fileOf(build('mule')));
    const spare: Scene = {
      rigs: scene.rigs.map((rig) => ({
        ...rig,
        meshes: rig.meshes.map((mesh) => ({ ...mesh, triangles: mesh.triangles.slice(0, 30) })),
      })),
    };
    const [mesh] = (await lightScene(spare)).scene.rigs[0]?.meshes ?? [];
    const [whole] = scene.rigs[0]?.meshes ?? [];
    expect(mesh?.positions.length).toBeLessThanOrEqual(3 * 30);
    const cornersOf = ({ positions, triangles }: SceneMesh): number[] =>
      [...triangles].flatMap((at) => [...positions.subarray(3 * at, 3 * at + 3)]);
    if (mesh === undefined || whole === undefined) throw new Error('the mule has no mesh');
    expect(cornersOf(mesh)).toEqual(
      cornersOf({ ...whole, triangles: whole.triangles.slice(0, 30) }),
    );
  });
});

/** The mesh with three vertices of its own for each triangle. */
function torn(mesh: SceneMesh): SceneMesh {
  const { triangles } = mesh;
  const room = triangles.length;
  return {
    ...mesh,
    triangles: Uint32Array.from(triangles, (_, corner) => corner),
    positions: gathered(mesh.positions, new Float32Array(3 * room), triangles),
    slots: gathered(mesh.slots, new Uint16Array(4 * room), triangles),
    weights: gathered(mesh.weights, new Float32Array(4 * room), triangles),
  };
}

function gathered<T extends Float32Array | Uint16Array>(
  from: T,
  into: T,
  corners: ArrayLike<number>,
): T {
  const size = into.length / corners.length;
  for (let i = 0; i < into.length; i++)
    into[i] = from[size * (corners[Math.floor(i / size)] ?? 0) + (i % size)] ?? 0;
  return into;
}

function boxOf(scene: Scene): number[] {
  const [rig] = scene.rigs;
  if (rig === undefined) return [];
  const { positions } = restMesh(rig, restWorld(rig));
  const axes = [0, 1, 2].map((axis) => positions.filter((_, i) => i % 3 === axis));
  return axes.flatMap((values) => [
    values.reduce((least, value) => Math.min(least, value), Infinity),
    values.reduce((most, value) => Math.max(most, value), -Infinity),
  ]);
}

function vertexKeys({ rigs }: Scene): string[] {
  return rigs.flatMap(({ meshes }) =>
    meshes.flatMap(({ positions, slots, weights }) =>
      Array.from({ length: positions.length / 3 }, (_, at) =>
        [
          ...positions.subarray(3 * at, 3 * at + 3),
          ...slots.subarray(4 * at, 4 * at + 4),
          ...weights.subarray(4 * at, 4 * at + 4),
        ].join(' '),
      ),
    ),
  );
}

describe('clips on a page', () => {
  const clip = (name: string, keys: number, tracks: number): SceneClip => ({
    name,
    duration: keys,
    tracks: Array.from({ length: tracks }, (_, node) => ({
      node,
      path: 'rotation' as const,
      steps: false,
      times: Float32Array.from({ length: keys }, (_, key) => key),
      values: Float32Array.from({ length: 4 * keys }, (_, i) => Math.sin(i)),
    })),
  });

  it('are whole while they fit', () => {
    const { clips, word } = packClips([clip('walk', 10, 3)], []);
    expect(word).toBeNull();
    expect(unpack(clips[0]?.tracks[2]?.times ?? { type: 'u8', base64: '' })).toHaveLength(10);
  });

  it('are thinned, then left out from the last on, and never past the room there is', () => {
    const { clips, word } = packClips([clip('long', 3000, 2)], []);
    expect(word).toBe('Clips are shown with 1 of every 2 keys.');
    const times = unpack(clips[0]?.tracks[0]?.times ?? { type: 'u8', base64: '' });
    expect([times.length, times[0], times.at(-1)]).toEqual([1501, 0, 2999]);
    const many = packClips(
      Array.from({ length: 9 }, (_, at) => clip(`c${at}`, 3000, 4)),
      [],
    );
    expect(JSON.stringify(many.clips).length).toBeLessThan(CLIP_LETTERS);
    expect(many.clips.length).toBeGreaterThan(0);
    expect(many.word).toContain(`${9 - many.clips.length} of 9 clips are left out`);
  });

  it('a track that keeps its node where it is anyway is left out, another is not', () => {
    const local = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 4, 5, 6, 1];
    const nodes = [{ name: '', parent: -1, joint: 0, local }];
    const at = (path: 'translation' | 'scale', values: number[]): SceneClip => ({
      name: 'still',
      duration: 1,
      tracks: [
        {
          node: 0,
          path,
          steps: false,
          times: Float32Array.of(0, 1),
          values: Float32Array.of(...values, ...values),
        },
      ],
    });
    const kept = [
      at('translation', [4, 5, 6]),
      at('translation', [4, 5, 6.01]),
      at('scale', [1, 1, 1]),
      at('scale', [1, 1, 2]),
    ].map((clips) => packClips([clips], nodes).clips[0]?.tracks.length);
    expect(kept).toEqual([0, 1, 0, 1]);
  });

  it('those that findings name are the last to be left out', () => {
    const all = Array.from({ length: 9 }, (_, at) => clip(`c${at}`, 3000, 4));
    const names = (told: string): string[] =>
      packClips(all, [], told).clips.map(({ name }) => name);
    expect(names('')).not.toContain('c8');
    expect(names('The clip "c8" stretches it.')).toContain('c8');
    expect(names('The clip "c8" stretches it.').length).toBe(names('').length);
  });

  it('that with the worst moment of all stays, with the keys beside that moment', () => {
    const moment = { joint: 0, seconds: 1001.5, kind: 'bone', value: 40, limit: 5 } as const;
    const long = { ...clip('c8', 3000, 4), worst: { ...moment, isWorst: true } };
    const named = [...Array(8).keys()].map((at) => clip(`c${at}`, 3000, 4));
    const told = named.map(({ name }) => `"${name}"`).join();
    const { clips } = packClips([...named, long], [], told);
    expect(clips.map(({ name }) => name)).toContain('c8');
    const shown = clips.find(({ name }) => name === 'c8');
    const times = unpack(shown?.tracks[0]?.times ?? { type: 'u8', base64: '' });
    expect([...times]).toEqual(expect.arrayContaining([1000, 1001, 1002, 1008]));
    expect([...times]).not.toContain(1003);
    const alone = packClips([{ ...long, ...clip('vast', 25_000, 12) }], []);
    expect(alone.clips).toHaveLength(1);
    expect(JSON.stringify(alone.clips).length).toBeLessThan(CLIP_LETTERS);
  });

  it('a track that never changes is one key', () => {
    const still = clip('still', 100, 1);
    const [track] = still.tracks;
    if (track === undefined) throw new Error('no track');
    const values = Float32Array.from({ length: 400 }, (_, i) => [0, 0, 0, 1][i % 4] ?? 0);
    const { clips } = packClips([{ ...still, tracks: [{ ...track, values }] }], []);
    expect(unpack(clips[0]?.tracks[0]?.values ?? { type: 'u8', base64: '' })).toEqual([0, 0, 0, 1]);
  });
});

it('asking for the scene changes nothing in the report', async () => {
  const { rules } = await import('../../rules/index.js');
  const settings = defaultSettings(rules);
  for (const name of ['heron', 'caterpillar'] as const) {
    const bytes = fileOf(build(name));
    const rigs: RigScene[] = [];
    const onModel = (model: RigModel): void =>
      void rigs.push(...makeScene(model, settings.wanted).rigs);
    const drawn = await checkAssetBytes(bytes, { settings, onModel });
    expect(drawn).toEqual(await checkAssetBytes(bytes, { settings }));
    const [rig] = rigs;
    if (rig === undefined) throw new Error('no rig');
    // Stored in its bind pose, so that joints stand where the report has them.
    const places = jointPlaces(rig, restWorld(rig)).flat();
    expect(drawn.rigs[0]?.joints.flatMap(({ place }) => place)).toEqual(
      places.map((value) => expect.closeTo(value, 5)),
    );
  }
});

describe('of an approved rig the viewer is handed', () => {
  it('nothing where there is none', async () => {
    const [rig] = (await packScene(await sceneOf(fileOf(build('heron'))))).rigs;
    expect(rig).not.toHaveProperty('approved');
    expect(JSON.stringify(rig)).not.toContain('approved');
  });

  it('its joints and clips for both, and what it is', async () => {
    const bytes = fileOf(build('heron'));
    const scene = await sceneOf(bytes, await approvedOf(bytes));
    const [rig] = (await packScene(scene)).rigs;
    if (rig?.approved === undefined) throw new Error('nothing was packed');
    const { nodes, clips, jointNodes } = rig.approved;
    expect(jointNodes).toEqual(rig.jointNodes);
    expect(rig.notes).toEqual([
      `Dashed: the approved rig "body" of ${APPROVED_NAME}, root on root.`,
    ]);
    const [clip] = clips;
    const tracks = clip?.tracks ?? [];
    const named = (end: boolean): string[] =>
      tracks
        .filter(({ node }) => node >= nodes.length === end)
        .map(({ node }) => (end ? rig.nodes[node - nodes.length] : nodes[node])?.name ?? '');
    expect(named(false)).toContain('thigh_L');
    expect(named(true)).toEqual(named(false));
  });

  it('no more of its clips than of those of a rig', async () => {
    const bytes = fileOf(build('heron'));
    const scene = await sceneOf(bytes, await approvedOf(bytes));
    const [rig] = scene.rigs;
    const [clip] = rig?.approved?.clips ?? [];
    if (rig?.approved === undefined || clip === undefined) throw new Error('nothing was laid over');
    const clips = Array.from({ length: 400 }, (_, at) => ({ ...clip, name: `wade ${at}` }));
    const many = { rigs: [{ ...rig, approved: { ...rig.approved, clips } }] };
    const [page] = (await packScene(many)).rigs;
    expect(JSON.stringify(page?.approved?.clips).length).toBeLessThan(1.2 * CLIP_LETTERS);
    expect(page?.notes.join(' ')).toMatch(/Of the approved rig: .* clips are left out/);
  });
});
