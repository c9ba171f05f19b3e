// Sources: EXT_meshopt_compression as written by npm `meshoptimizer` and KHR_draco_mesh_compression as
// written by npm `draco3dgltf`, both through @gltf-transform, which also reads what is mended; three.js
// (npm `three`) then poses and skins it. None of these is ours.

import draco from 'draco3dgltf';
import { MeshoptDecoder, MeshoptEncoder } from 'meshoptimizer';
import { AnimationMixer, DetachedBindMode, type Object3D, SkinnedMesh, Vector3 } from 'three';
import { GLTFLoader } from 'three/examples/jsm/loaders/GLTFLoader.js';
import { describe, expect, test, vi } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { glb } from '../../fixtures/kit/containers.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { Editable } from '../../src/mend/file/editable.js';
import { LARGEST_SHIFT, type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { DracoPacker } from '../../src/mend/packing/packing-draco.js';
import { proveSame } from '../../src/mend/proof/proof.js';
import { reload } from '../../src/mend/proof/reload.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import { splitGlb } from '../fixtures/read-back.js';
import { modelOf } from '../support/facts-of.js';
import { tempFolder } from '../support/temp-folder.js';
import { loadInThree } from '../support/three-scene.js';
import { BOLD } from './asked.js';
import { jsonOf, PACKINGS, type PackedJson, packed, streamsOf, unpacked } from './pack-fixture.js';

// Each packs, mends, checks and reads whole files several times.
vi.setConfig({ testTimeout: 60_000 });

const settings = defaultSettings(rules);

/** Two places are the same when this near. Share of the largest coordinate. */
const SAME = 1e-5;

/** Into every clip by these parts of its length. */
const MOMENTS = [0.11, 0.5, 0.83];

/** What is stored in other numbers once each is mended. */
const faults = [
  ['flipped-shin', 'nodes, clips and bind matrices'],
  ['joint-twice-on-a-vertex', 'joints and weights of vertices'],
  ['idle-hooks', 'the joint list'],
  ['scaled-holder', 'bind matrices'],
] as const;

function faulty(name: string): Uint8Array {
  const fault = faultNamed(name);
  // Integer weights, because Draco rounds floats and their sums with them.
  return buildGlb(fault.puppet, { faults: [fault], weights: 'u8' });
}

function mended(bytes: Uint8Array): Promise<MendResult> {
  return mendAsset(`${tempFolder({ 'puppet.glb': bytes })}/puppet.glb`, settings, REPAIRS, {
    also: BOLD,
  });
}

describe.each(PACKINGS)('packed by %s', (packing) => {
  // Each fault by both codecs, half of them plainly and half with what a codec may do besides.
  const some = faults.filter((_, at) => (at + PACKINGS.indexOf(packing)) % 2 === 0);
  test.each(some)('%s is mended (%s), and nothing is seen of it', async (name) => {
    const small = await packed(faulty(name), packing);
    const result = await mended(small);
    const rule = faultNamed(name).rule;
    expect(result.before.findings.map((finding) => finding.rule)).toContain(rule);
    expect(result.after.findings).toEqual([]);
    expect(result.offending).toBeNull();
    expect(result.proof.share).toBeLessThan(LARGEST_SHIFT);
    const { main } = result.files;
    expect(await farthestInThree(small, main)).toBeLessThan(SAME);
    const again = await mended(main);
    expect(again.changes).toEqual([]);
    expect(Buffer.compare(again.files.main, main)).toBe(0);
  });
});

test.each(['meshopt', 'meshopt, filtered'] as const)(
  'what %s packed and no repair wrote to stays packed, byte for byte',
  async (packing) => {
    const small = await packed(faulty('flipped-shin'), packing);
    const { main } = (await mended(small)).files;
    const [before, after] = [streamsOf(small), streamsOf(main)];
    expect(before.size).toBe(8);
    // Bind matrices have a view of their own, which is plain now; the keys of clips share theirs.
    expect(after.size).toBe(7);
    for (const [view, bytes] of after) {
      expect(Buffer.compare(bytes, before.get(view) ?? Buffer.alloc(0))).toBe(0);
    }
    expect(jsonOf(main).extensionsRequired).toEqual(jsonOf(small).extensionsRequired);
    // One view more holds the keys: that which they were in is read by others still.
    expect(jsonOf(main).bufferViews).toHaveLength(jsonOf(small).bufferViews.length + 1);
    // The buffer that stands in for what is packed has no bytes, before and after.
    expect(jsonOf(main).buffers[1]).toEqual(jsonOf(small).buffers[1]);
  },
);

test.each(['draco, in order', 'draco, reordered'] as const)(
  'a primitive packed by %s stays so, byte for byte, where no vertex is written to',
  async (packing) => {
    const small = await packed(faulty('flipped-shin'), packing);
    const { main } = (await mended(small)).files;
    expect(jsonOf(main).meshes).toEqual(jsonOf(small).meshes);
    expect(Buffer.compare(dracoStream(main), dracoStream(small))).toBe(0);
  },
);

test('a primitive whose vertices are written to is unpacked as a whole, indices and all', async () => {
  const small = await packed(faulty('joint-twice-on-a-vertex'), 'draco, reordered');
  const edit = await Editable.fromBytes(small);
  await mendWeights(edit);
  const { main } = edit.files();
  const json = jsonOf(main);
  expect(json.extensionsUsed).toBeUndefined();
  expect(json.extensionsRequired).toBeUndefined();
  const [primitive] = json.meshes[0]?.primitives ?? [];
  const { attributes = {}, indices = -1, extensions } = primitive ?? {};
  expect(extensions).toBeUndefined();
  const accessors = [...Object.values(attributes), indices];
  expect(accessors.every((at) => json.accessors[at]?.bufferView !== undefined)).toBe(true);
  // The packed stream left the buffer: it would have made the file longer by this.
  const stream = dracoStream(small).byteLength;
  expect(Buffer.from(main).includes(dracoStream(small).subarray(8, stream - 8))).toBe(false);
  expect(edit.notes).toEqual([
    expect.stringMatching(
      /^1 packed primitive had to be unpacked \(KHR_draco_mesh_compression\): the file grows by \d\d,\d{3} bytes; --pack packs it again$/,
    ),
  ]);
  // What grows is the buffer, but for what the JSON takes.
  expect(grownBy(edit)).toBe(bufferOf(main) - bufferOf(small));
});

describe.each(PACKINGS)('packed by %s and packed again', (packing) => {
  test('every number is the one that was written, and the file is smaller than plain', async () => {
    const small = await packed(faulty('joint-twice-on-a-vertex'), packing);
    const [plain, again] = [
      await Editable.fromBytes(small),
      await Editable.fromBytes(small, null, { pack: true }),
    ];
    for (const edit of [plain, again]) await mendWeights(edit);
    const [a, b] = [plain.files().main, again.files().main];
    expect(b.byteLength).toBeLessThan(a.byteLength);
    const [before, after] = [(await modelOf(a)).rigs[0], (await modelOf(b)).rigs[0]];
    expect(after?.parts[0]?.weights).toEqual(before?.parts[0]?.weights);
    expect(after?.parts[0]?.slots).toEqual(before?.parts[0]?.slots);
    expect(after?.parts[0]?.positions).toEqual(before?.parts[0]?.positions);
    expect(await farthestInThree(a, b)).toBe(0);
    expect(await farthestInThree(small, b)).toBeLessThan(SAME);
    expect(jsonOf(b).extensionsUsed).toEqual(jsonOf(small).extensionsUsed);
    expect(jsonOf(b).extensionsRequired).toEqual(jsonOf(small).extensionsRequired);
    expect(again.notes).toEqual([
      expect.stringMatching(
        /^\d packed \w+ (was|were) changed and packed again \(\w+\): the file /,
      ),
    ]);
    expect(grownBy(again)).toBe(bufferOf(b) - bufferOf(small));
    // Files can be made again, and go on being the same.
    expect(Buffer.compare(again.files().main, b)).toBe(0);
  });
});

test('beside a .gltf, the buffer that stands in for packed data may come first, and stays empty', async () => {
  const small = await packed(faulty('flipped-shin'), 'meshopt');
  const { json, binary } = splitGlb(small);
  // The two buffers change places; the one with bytes is a file.
  const swap = (text: string): string =>
    text.replace(/"buffer":([01])/g, (_, at) => `"buffer":${1 - Number(at)}`);
  const [bin, standIn] = json.buffers;
  const buffers = [standIn, { ...bin, uri: 'heron.bin' }];
  const folder = tempFolder({
    'heron.gltf': JSON.stringify({
      ...(JSON.parse(swap(JSON.stringify(json))) as object),
      buffers,
    }),
    'heron.bin': binary.subarray(0, bin?.byteLength),
  });
  const result = await mendAsset(`${folder}/heron.gltf`, settings, REPAIRS, { stem: 'mended' });
  expect(result.after.findings).toEqual([]);
  expect([...result.files.buffers.keys()]).toEqual(['mended.bin']);
  const after = JSON.parse(Buffer.from(result.files.main).toString()) as PackedJson;
  expect(after.buffers[0]).toEqual(standIn);
  expect(after.buffers[1]).toEqual({
    byteLength: result.files.buffers.get('mended.bin')?.byteLength,
    uri: 'mended.bin',
  });
  // The same as of the GLB, which three.js was asked about.
  const whole = (await mended(small)).files.main;
  expect(Buffer.from(splitGlb(whole).binary).subarray(0, bufferOf(whole))).toEqual(
    Buffer.from(result.files.buffers.get('mended.bin') ?? []),
  );
});

test('Draco keeps vertices that are alike apart, every bit of a number and the order of triangles', async () => {
  const packer = await DracoPacker.load();
  const array = Float32Array.of(0.1, -0, 1e-40, 0.1, -0, 1e-40, 7, 1 / 3, -3e38, 0.1, -0, 1e-40);
  const joints = Uint16Array.from({ length: 16 }, (_, at) => (at < 8 ? 65535 : at));
  const attributes = [
    { name: 'POSITION', array, size: 3, normalized: false },
    { name: 'JOINTS_0', array: joints, size: 4, normalized: false },
  ];
  const triangles = Uint16Array.of(2, 1, 0, 3, 2, 1, 0, 0, 3);
  const { bytes, ids } = packer.pack(attributes, triangles) ?? {
    bytes: Buffer.of(),
    ids: new Map(),
  };
  const decoder = await draco.createDecoderModule();
  const [reader, buffer, mesh] = [
    new decoder.Decoder(),
    new decoder.DecoderBuffer(),
    new decoder.Mesh(),
  ];
  buffer.Init(Int8Array.from(bytes), bytes.length);
  expect(reader.DecodeBufferToMesh(buffer, mesh).ok()).toBe(true);
  expect([mesh.num_points(), mesh.num_faces()]).toEqual([4, 3]);
  const found = new decoder.DracoFloat32Array();
  const attribute = reader.GetAttributeByUniqueId(mesh, ids.get('POSITION'));
  reader.GetAttributeFloatForAllPoints(mesh, attribute, found);
  expect(Array.from(array, (_, at) => found.GetValue(at))).toEqual([...array]);
  const face = new decoder.DracoInt32Array();
  const faces = [0, 1, 2].flatMap((index) => {
    reader.GetFaceFromMesh(mesh, index, face);
    return [0, 1, 2].map((corner) => face.GetValue(corner));
  });
  expect(faces).toEqual([...triangles]);
});

test('primitives that share what Draco packed go on sharing it', async () => {
  const small = await packed(faulty('joint-twice-on-a-vertex'), 'draco, in order');
  const { json, binary } = splitGlb(small);
  // A second primitive that is the same as the first.
  const meshes = json.meshes?.map(({ primitives }) => ({
    primitives: [...primitives, ...primitives],
  }));
  const doubled = glb(JSON.stringify({ ...json, meshes }), binary);
  const { main } = (await mended(doubled)).files;
  const [first, second] = jsonOf(main).meshes[0]?.primitives ?? [];
  expect(first?.attributes).toEqual(second?.attributes);
  expect(first?.extensions ?? second?.extensions).toBeUndefined();
  expect(jsonOf(main).accessors).toHaveLength(jsonOf(doubled).accessors.length);
});

test('what is written to again in another type of numbers takes no more room, and is packed again', async () => {
  const small = await packed(faulty('joint-twice-on-a-vertex'), 'meshopt');
  const user = { kind: 'attribute', mesh: 0, primitive: 0, name: 'WEIGHTS_0' } as const;
  const [once, twice] = [
    await Editable.fromBytes(small, null, { pack: true }),
    await Editable.fromBytes(small, null, { pack: true }),
  ];
  const stored = once.read(user);
  if (stored === null) throw new Error('the mesh is skinned');
  const floats = Float32Array.from(stored, (step) => step / 255);
  twice.write(
    user,
    stored.map((step) => 255 - step),
  );
  twice.files();
  for (const edit of [once, twice]) edit.write(user, floats);
  expect(Buffer.compare(once.files().main, twice.files().main)).toBe(0);
  expect(twice.notes).toHaveLength(1);
  const after = (await modelOf(twice.files().main)).rigs[0]?.parts[0]?.weights;
  expect(Array.from(after ?? [])).toEqual(Array.from(floats));
});

/** The heron packed, its bind matrices written to, with more in its JSON that may concern their view. */
async function withStranger(more: (view: number) => object) {
  const small = await packed(faulty('flipped-shin'), 'meshopt');
  const { json, binary } = splitGlb(small);
  const matrices = json.skins?.[0]?.inverseBindMatrices ?? -1;
  const view = json.accessors[matrices]?.bufferView ?? -1;
  const strange = { ...json, ...more(view) };
  const edit = await Editable.fromBytes(glb(JSON.stringify(strange), binary));
  const user = { kind: 'inverse bind', skin: 0 } as const;
  const values = edit.read(user);
  if (values === null) throw new Error('the skin has matrices');
  edit.write(
    user,
    values.map((value) => value / 2),
  );
  return { edit, before: streamsOf(small), after: streamsOf(edit.files().main), small };
}

test('a packed view that other data names stays, byte for byte', async () => {
  const { before, after } = await withStranger((bufferView) => ({ images: [{ bufferView }] }));
  expect([...after.keys()]).toEqual([...before.keys()]);
  for (const [view, bytes] of after)
    expect(bytes.equals(before.get(view) ?? Buffer.of())).toBe(true);
  // Where nothing names it, it goes.
  const known = await withStranger(() => ({ extensions: { THEATRE_props: { note: 'none' } } }));
  expect(known.after.size).toBe(before.size - 1);
});

test('packed bytes stay where other data may count on their place, and that is told', async () => {
  const { edit, before, after } = await withStranger(() => ({
    extensions: { THEATRE_props: { byteOffset: 0.5 } },
  }));
  const [gone] = [...before].filter(([view]) => !after.has(view)).map(([, bytes]) => bytes);
  expect(edit.notes).toEqual([
    expect.stringMatching(/^1 packed accessor had to be unpacked/),
    `${gone?.byteLength} bytes stay in the file, but nothing uses them any more`,
  ]);
  expect(Buffer.from(edit.files().main).includes(gone ?? Buffer.of(1, 2, 3))).toBe(true);
});

// Source: three.js decodes KHR_meshopt_compression by code of its own and npm `meshoptimizer`.
test('a view whose packed form readers may do without is written to as a whole: no form is stale', async () => {
  const bytes = withOptionalForms(faulty('flipped-shin'));
  const { main, ...rest } = (await mended(bytes)).files;
  expect(rest.buffers.size).toBe(0);
  const [withForms, without] = [await placesIn(main, true), await placesIn(main, false)];
  expect(withForms).toEqual(without);
  expect(farthest(await placesIn(bytes, true), withForms)).toBeLessThan(SAME);
  expect(jsonOf(main).extensionsUsed).toContain('KHR_meshopt_compression');
  // The test can tell: who knows the form reads nothing else.
  const { json, binary } = splitGlb(bytes);
  const matrices = json.accessors[json.skins?.[0]?.inverseBindMatrices ?? -1]?.bufferView ?? -1;
  const { byteOffset = 0, byteLength = 0 } = json.bufferViews[matrices] ?? {};
  const spoilt = glb(
    JSON.stringify(json),
    Buffer.from(binary).fill(0, byteOffset, byteOffset + byteLength),
  );
  expect(await placesIn(spoilt, true)).toEqual(await placesIn(bytes, true));
  expect(await placesIn(spoilt, false)).not.toEqual(await placesIn(bytes, false));
});

/** A mend of the weights alone, in an edit that is open. */
async function mendWeights(edit: Editable): Promise<void> {
  const before = buildRigs(await reload(edit.files(), null));
  for (const set of ['JOINTS_0', 'WEIGHTS_0']) {
    const user = { kind: 'attribute', mesh: 0, primitive: 0, name: set } as const;
    const values = edit.read(user);
    if (values === null) throw new Error('the mesh is skinned');
    // Two influences change places at every vertex: other bytes, the same shape.
    const swapped = values.slice();
    for (let at = 0; at < values.length; at += 4) {
      swapped[at] = values[at + 1] ?? 0;
      swapped[at + 1] = values[at] ?? 0;
    }
    edit.write(user, swapped);
  }
  const after = buildRigs(await reload(edit.files(), null));
  expect(proveSame(before, after).share).toBeLessThan(LARGEST_SHIFT);
  expect(after.rigs[0]?.parts[0]?.slots).not.toEqual(before.rigs[0]?.parts[0]?.slots);
}

/** Bytes that the first of an edit's notes tells of. */
function grownBy({ notes }: Editable): number {
  const [, verb, count] = /file (grows|shrinks) by ([\d,]+) bytes?/.exec(notes[0] ?? '') ?? [];
  return Number(count?.replaceAll(',', '')) * (verb === 'grows' ? 1 : -1);
}

function bufferOf(bytes: Uint8Array): number {
  return jsonOf(bytes).buffers[0]?.byteLength ?? 0;
}

function dracoStream(bytes: Uint8Array): Buffer {
  const json = jsonOf(bytes);
  const form = json.meshes[0]?.primitives[0]?.extensions?.KHR_draco_mesh_compression;
  const view = json.bufferViews[form?.bufferView ?? -1];
  if (view === undefined) throw new Error('nothing is packed');
  const { binary } = splitGlb(bytes);
  const start = view.byteOffset ?? 0;
  return Buffer.from(binary.subarray(start, start + view.byteLength));
}

/** A GLB whose views all have a packed form as well, which a reader need not know. */
function withOptionalForms(bytes: Uint8Array): Uint8Array {
  const { json, binary } = splitGlb(bytes);
  const streams: Buffer[] = [];
  let end = 0;
  const bufferViews = json.bufferViews.map((view) => {
    const { byteOffset, byteLength, byteStride = 4 } = view;
    if (byteLength % byteStride !== 0) return view;
    const count = byteLength / byteStride;
    const raw = binary.slice(byteOffset, byteOffset + byteLength);
    const stream = MeshoptEncoder.encodeGltfBuffer(raw, count, byteStride, 'ATTRIBUTES', 1);
    const form = {
      buffer: 0,
      byteOffset: binary.byteLength + end,
      byteLength: stream.byteLength,
      byteStride,
      count,
      mode: 'ATTRIBUTES',
    };
    streams.push(Buffer.from(stream));
    end += stream.byteLength;
    return { ...view, extensions: { KHR_meshopt_compression: form } };
  });
  const whole = Buffer.concat([binary, ...streams]);
  const buffers = [{ byteLength: whole.byteLength }];
  const extensionsUsed = ['KHR_meshopt_compression'];
  return glb(JSON.stringify({ ...json, bufferViews, buffers, extensionsUsed }), whole);
}

/** The largest distance between two packed assets in any pose, as three.js has them. Share of the largest coordinate. */
async function farthestInThree(before: Uint8Array, after: Uint8Array): Promise<number> {
  return farthest(
    await placesIn(await unpacked(before), false),
    await placesIn(await unpacked(after), false),
  );
}

function farthest(a: readonly number[], b: readonly number[]): number {
  expect(b).toHaveLength(a.length);
  expect(a.length).toBeGreaterThan(1000);
  const reach = a.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  const gap = a.reduce((most, value, at) => Math.max(most, Math.abs(value - (b[at] ?? NaN))), 0);
  return gap / reach;
}

/** Every vertex in world space at rest and at moments of every clip, x, y, z in a row. */
async function placesIn(bytes: Uint8Array, decodes: boolean): Promise<number[]> {
  const { meshes, clips } = decodes ? await decodedInThree(bytes) : await loadInThree(bytes);
  const objects = meshes.map((mesh) => ('object' in mesh ? mesh.object : mesh));
  let top: Object3D | undefined = objects[0];
  while (top?.parent != null) top = top.parent;
  if (top === undefined) throw new Error('three.js loaded no mesh');
  for (const object of objects) object.bindMode = DetachedBindMode;
  const places: number[] = [];
  const see = (): void => {
    top.updateMatrixWorld(true);
    for (const object of objects) {
      const stored = object.geometry.getAttribute('position');
      for (let vertex = 0; vertex < stored.count; vertex++) {
        const place = new Vector3().fromBufferAttribute(stored, vertex);
        places.push(...object.applyBoneTransform(vertex, place).toArray());
      }
    }
  };
  see();
  for (const clip of clips) {
    const mixer = new AnimationMixer(top);
    mixer.clipAction(clip).play();
    for (const moment of MOMENTS) {
      mixer.setTime(moment * clip.duration);
      see();
    }
    mixer.stopAllAction();
  }
  return places;
}

async function decodedInThree(bytes: Uint8Array) {
  await MeshoptDecoder.ready;
  const loader = new GLTFLoader().setMeshoptDecoder(MeshoptDecoder);
  const { json, binary } = splitGlb(bytes);
  const bare: Record<string, unknown> = { ...json };
  for (const field of ['materials', 'textures', 'images', 'samplers']) delete bare[field];
  bare.meshes = json.meshes?.map((mesh) => ({
    ...mesh,
    primitives: mesh.primitives.map((primitive) => ({ ...primitive, material: undefined })),
  }));
  const copy = Uint8Array.from(glb(JSON.stringify(bare), binary)).buffer;
  const { scene, animations } = await loader.parseAsync(copy, '');
  const meshes: SkinnedMesh[] = [];
  scene.traverse((object) => {
    if (object instanceof SkinnedMesh) meshes.push(object);
  });
  return { meshes, clips: animations };
}
