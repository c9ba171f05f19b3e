// Source: npm `@gltf-transform/core` stores vertices interleaved (glTF 2.0, 3.6.2.4) and reads them by
// code of its own; here it is kept from decoding for us.
import { NodeIO, type TypedArray, VertexLayout } from '@gltf-transform/core';
import { KHRMeshQuantization } from '@gltf-transform/extensions';
import { expect, test, vi } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { AssetError } from '../../src/asset/errors.js';
import { loadAssetBytes } from '../../src/asset/load-asset.js';
import { storedAnew, WAYS } from '../support/stored-anew.js';

const WITHOUT_SDK = 'the SDK was asked to decode';

vi.mock('../../src/asset/decode-with-sdk.js', () => ({
  decodeWithSdk: () => {
    throw new Error(WITHOUT_SDK);
  },
}));

/** The numbers of an accessor and of what kind they are. */
type Numbers = readonly [kind: string, normalized: boolean, ...number[]];

const told = (array: TypedArray | null, normalized: boolean): Numbers => [
  array?.constructor.name ?? '',
  normalized,
  ...(array ?? []),
];

/** What the SDK reads of the accessors that we read. */
async function bySdk(bytes: Uint8Array, wanted: readonly number[]): Promise<Numbers[]> {
  const document = await new NodeIO().registerExtensions([KHRMeshQuantization]).readBinary(bytes);
  const all = document.getRoot().listAccessors();
  return wanted.map((at) => told(all[at]?.getArray() ?? null, all[at]?.getNormalized() === true));
}

const storages = [
  ['floats', {}],
  ['quantised positions, weights in bytes', { weights: 'u8', positions: 'quantised' }],
] as const;

test.each(
  castNames.flatMap((name) => storages.map(([title, options]) => [name, title, options] as const)),
)('the %s, interleaved by the SDK, %s, is read without it', async (name, _title, options) => {
  const bytes = await storedAnew(buildGlb(name, options), { steps: [] });
  const { document, decoded } = await loadAssetBytes(bytes);
  const views = [...decoded.keys()].map((index) => document.accessors[index]?.bufferView ?? -1);
  const strided = views.filter((view) => document.bufferViews[view]?.byteStride != null);
  // Each primitive's positions, joints and weights share a view.
  expect(strided.length).toBe(3 * new Set(strided).size);
  const ours = [...decoded.values()].map(({ array, normalized }) => told(array, normalized));
  expect(ours).toEqual(await bySdk(bytes, [...decoded.keys()]));
});

test('what is sparse still needs it, so that the test is known to see it', async () => {
  const { sparse } = WAYS;
  const bytes = await storedAnew(buildGlb('heron'), {
    ...sparse,
    steps: sparse?.steps ?? [],
    layout: VertexLayout.SEPARATE,
  });
  await expect(loadAssetBytes(bytes)).rejects.toThrow(WITHOUT_SDK);
  await expect(loadAssetBytes(bytes)).rejects.not.toThrow(AssetError);
});
