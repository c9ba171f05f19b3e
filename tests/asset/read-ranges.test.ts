import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, beforeEach, expect, test, vi } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { glb } from '../../fixtures/kit/containers.js';
import { rules } from '../../rules/index.js';
import { checkAsset } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { type StoredJson, splitGlb } from '../fixtures/read-back.js';

/** Every stretch of the file that was read: where, and how long. */
const reads = vi.hoisted((): { position: number; length: number }[] => []);

// Files are read by position through one function of node; it is watched, not replaced.
vi.mock('node:fs', async (importOriginal) => {
  const real = await importOriginal<typeof import('node:fs')>();
  const readSync = (
    descriptor: number,
    target: NodeJS.ArrayBufferView,
    offset: number,
    length: number,
    position: number,
  ): number => {
    reads.push({ position, length });
    return real.readSync(descriptor, target, offset, length, position);
  };
  return { ...real, readSync };
});

/** Far above the gap that is read over to save a system call. Bytes. */
const TEXTURE_BYTES = 65536;
/** Neighbouring stretches this close are read in one go. Bytes. */
const GAP_BYTES = 4096;

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'lanterns-'));
});
afterAll(() => rmSync(folder, { recursive: true }));
beforeEach(() => {
  reads.length = 0;
});

/** The caterpillar with a texture's bytes laid into its buffer in front of view `before`. */
function withTexture(before: number): { bytes: Uint8Array; from: number; to: number } {
  const { json, binary } = splitGlb(buildGlb('caterpillar'));
  const at = json.bufferViews[before]?.byteOffset ?? binary.length;
  const longer = new Uint8Array(binary.length + TEXTURE_BYTES).fill(0xab);
  longer.set(binary.subarray(0, at));
  longer.set(binary.subarray(at), at + TEXTURE_BYTES);
  const views = json.bufferViews.map((view) => ({
    ...view,
    byteOffset: view.byteOffset + (view.byteOffset >= at ? TEXTURE_BYTES : 0),
  }));
  const textureView = { buffer: 0, byteOffset: at, byteLength: TEXTURE_BYTES };
  const changed: StoredJson & Record<string, unknown> = {
    ...json,
    bufferViews: [...views, textureView],
    buffers: [{ byteLength: longer.length }],
    images: [{ bufferView: views.length, mimeType: 'image/png' }],
    textures: [{ source: 0 }],
  };
  const bytes = glb(JSON.stringify(changed), longer);
  const from = bytes.length - longer.length + at;
  return { bytes, from, to: from + TEXTURE_BYTES };
}

async function check(bytes: Uint8Array): Promise<void> {
  const path = join(folder, 'lantern.glb');
  writeFileSync(path, bytes);
  reads.length = 0;
  const report = await checkAsset(path, { settings: defaultSettings(rules) });
  expect([report.verdict, report.findings]).toEqual(['sound', []]);
}

const overlap = (from: number, to: number): number =>
  reads.reduce(
    (sum, { position, length }) =>
      sum + Math.max(0, Math.min(to, position + length) - Math.max(from, position)),
    0,
  );
const total = (): number => reads.reduce((sum, { length }) => sum + length, 0);

test('without a texture everything is read, so that the watch is known to see reads', async () => {
  const bytes = buildGlb('caterpillar');
  await check(bytes);
  expect(total()).toBeGreaterThan(0.9 * bytes.length);
});

test.each([
  ['in front of the geometry', 0],
  ['between weights and triangles', 3],
  ['between geometry and bind matrices', 4],
  ['at the end', Infinity],
])('a texture %s is never read', async (_title, before) => {
  const { bytes, from, to } = withTexture(before);
  await check(bytes);
  // Reads begin on a multiple of 8 of the buffer, which may reach back by up to 7 bytes.
  expect(overlap(from, to)).toBeLessThan(8);
  expect(total()).toBeLessThan(bytes.length - TEXTURE_BYTES + 64);
});

test.each([
  ['in front of', 0],
  ['behind', 1],
])(
  'of a view that several meshes stand in, what is %s the skinned one is not read',
  async (_title, at) => {
    const { bytes, from, to } = withTexture(at);
    const { json, binary } = splitGlb(bytes);
    // One view from the lantern's vertices to the rig's positions; the accessor says where it begins.
    const [place, ...others] = json.bufferViews;
    const texture = json.bufferViews.at(-1);
    const start = Math.min(place?.byteOffset ?? 0, texture?.byteOffset ?? 0);
    const end = Math.max(endOf(place), endOf(texture));
    const wide = { ...place, byteOffset: start, byteLength: end - start };
    const changed = {
      ...json,
      bufferViews: [wide, ...others],
      accessors: json.accessors.map((accessor) => ({
        ...accessor,
        ...(accessor.bufferView === 0 && { byteOffset: (place?.byteOffset ?? 0) - start }),
      })),
    };
    const again = glb(JSON.stringify(changed), binary);
    await check(again);
    const moved = again.length - bytes.length;
    expect(overlap(from + moved, to + moved)).toBeLessThan(8);
  },
);

const endOf = (view: StoredJson['bufferViews'][number] | undefined): number =>
  (view?.byteOffset ?? 0) + (view?.byteLength ?? 0);

test('a mesh that no skin moves is not read', async () => {
  const { json, binary } = splitGlb(buildGlb('caterpillar'));
  const count = TEXTURE_BYTES / 12 - ((TEXTURE_BYTES / 12) % 1);
  const longer = new Uint8Array(binary.length + GAP_BYTES + 12 * count);
  longer.set(binary);
  const from = binary.length + GAP_BYTES;
  const changed: StoredJson = {
    ...json,
    nodes: [...json.nodes, { name: 'lantern', mesh: json.meshes?.length ?? 0 }],
    meshes: [
      ...(json.meshes ?? []),
      { primitives: [{ attributes: { POSITION: json.accessors.length }, indices: 3 }] },
    ],
    accessors: [
      ...json.accessors,
      { bufferView: json.bufferViews.length, componentType: 5126, count, type: 'VEC3' },
    ],
    bufferViews: [...json.bufferViews, { byteOffset: from, byteLength: 12 * count }],
    buffers: [{ byteLength: longer.length }],
  };
  const withBuffer = changed.bufferViews.map((view) => ({ buffer: 0, ...view }));
  const bytes = glb(JSON.stringify({ ...changed, bufferViews: withBuffer }), longer);
  await check(bytes);
  const start = bytes.length - longer.length + from;
  expect(overlap(start, start + 12 * count)).toBe(0);
});
