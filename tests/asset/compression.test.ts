// Sources: EXT_meshopt_compression as written by npm `meshoptimizer`, KHR_draco_mesh_compression as
// written by npm `draco3dgltf`, both through @gltf-transform: encoders that are not ours.
import { NodeIO } from '@gltf-transform/core';
import {
  EXTMeshoptCompression,
  KHRDracoMeshCompression,
  KHRMeshQuantization,
} from '@gltf-transform/extensions';
import draco from 'draco3dgltf';
import { MeshoptDecoder, MeshoptEncoder } from 'meshoptimizer';
import { beforeAll, describe, expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { rigOf } from '../support/facts-of.js';

const io = new NodeIO().registerExtensions([
  EXTMeshoptCompression,
  KHRDracoMeshCompression,
  KHRMeshQuantization,
]);

beforeAll(async () => {
  await Promise.all([MeshoptEncoder.ready, MeshoptDecoder.ready]);
  io.registerDependencies({
    'meshopt.encoder': MeshoptEncoder,
    'meshopt.decoder': MeshoptDecoder,
    'draco3d.encoder': await draco.createEncoderModule(),
    'draco3d.decoder': await draco.createDecoderModule(),
  });
});

type Packing = 'meshopt' | 'draco, in order' | 'draco, reordered';

/** The asset with its geometry packed; what the packing rounds is told below. */
async function packed(bytes: Uint8Array, packing: Packing): Promise<Uint8Array> {
  // `readBinary` wants bytes with an ArrayBuffer of their own.
  const document = await io.readBinary(Uint8Array.from(bytes));
  if (packing === 'meshopt') {
    document
      .createExtension(EXTMeshoptCompression)
      .setRequired(true)
      .setEncoderOptions({ method: EXTMeshoptCompression.EncoderMethod.QUANTIZE });
  } else {
    const method =
      packing === 'draco, in order'
        ? KHRDracoMeshCompression.EncoderMethod.SEQUENTIAL
        : KHRDracoMeshCompression.EncoderMethod.EDGEBREAKER;
    document
      .createExtension(KHRDracoMeshCompression)
      .setRequired(true)
      // Draco rounds floats: 16 bits over the box of the mesh, a ten-thousandth of a per cent of size.
      .setEncoderOptions({ method, quantizationBits: { POSITION: 16, GENERIC: 16 } });
  }
  return io.writeBinary(document);
}

async function findings(bytes: Uint8Array): Promise<string[]> {
  const report = await checkAssetBytes(bytes, { settings: defaultSettings(rules) });
  expect(report.unreadable).toBeNull();
  return report.findings.map(({ level, rule, place }) => `${level} ${rule} ${place.path}`);
}

const packings: Packing[] = ['meshopt', 'draco, in order', 'draco, reordered'];
/** Integer weights, because Draco rounds floats and their sums with them. */
const faulty: [CastName, string[], BuildOptions][] = [
  ['heron', [], { weights: 'u8' }],
  ['heron', ['flipped-shin', 'crooked-neck'], { weights: 'u8' }],
  ['mule', ['many-steps-short'], { weights: 'u8' }],
  ['marionette', ['stored-in-a-wave'], { weights: 'u16' }],
];

describe.each(packings)('packed by %s', (packing) => {
  test.each(faulty)('the %s with faults %j is told the same', async (name, faults, options) => {
    const plain = buildGlb(name, { ...options, faults: faults.map(faultNamed) });
    const small = await packed(plain, packing);
    expect(jsonOf(small).extensionsRequired).toContain(
      packing === 'meshopt' ? 'EXT_meshopt_compression' : 'KHR_draco_mesh_compression',
    );
    expect(await findings(small)).toEqual(await findings(plain));
  });
});

test('meshopt keeps every vertex and every key as it was', async () => {
  const plain = buildGlb('marionette');
  const [before, after] = [await rigOf(plain), await rigOf(await packed(plain, 'meshopt'))];
  expect(after.parts[0]?.positions).toEqual(before.parts[0]?.positions);
  expect(after.parts[0]?.weights).toEqual(before.parts[0]?.weights);
  expect(after.skins[0]?.inverseBind).toEqual(before.skins[0]?.inverseBind);
  expect(after.clips.map((clip) => clip.channels.map(({ values }) => values))).toEqual(
    before.clips.map((clip) => clip.channels.map(({ values }) => values)),
  );
});

test('Draco in order keeps every vertex within its rounding of 16 bits', async () => {
  const plain = buildGlb('heron', { weights: 'u8' });
  const [before, after] = [await rigOf(plain), await rigOf(await packed(plain, 'draco, in order'))];
  const [from, to] = [before.parts[0]?.positions, after.parts[0]?.positions];
  if (from === undefined || to === undefined) throw new Error('both have a mesh');
  expect(to.length).toBe(from.length);
  // One step is the longest side of the box / (2^16 - 1); rounding is half of it, float32 a little.
  const step = (Math.max(...from) - Math.min(...from)) / 65535;
  const worst = Math.max(...from.map((value, at) => Math.abs(value - (to[at] ?? Number.NaN))));
  expect(worst).toBeGreaterThan(0);
  expect(worst).toBeLessThan(step);
  expect(after.parts[0]?.slots).toEqual(before.parts[0]?.slots);
});

test.each(packings)(
  'spoilt at the head of its data packed by %s, the asset is unreadable',
  async (packing) => {
    const small = await packed(buildGlb('heron', { weights: 'u8' }), packing);
    const spoilt = small.slice();
    // The head of a packed stream says what it is and how it goes on.
    const at = packedAt(small, packing);
    spoilt.fill(0xff, at, at + 8);
    const { verdict, unreadable } = await checkAssetBytes(spoilt, {
      settings: defaultSettings(rules),
    });
    expect(verdict).toBe('unreadable');
    expect(unreadable?.reason).not.toMatch(/[\r\n]/);
  },
);

/** The parts of a packed file's JSON that tell where its packed data stands. */
interface PackedJson {
  extensionsRequired: string[];
  meshes: {
    primitives: { extensions?: { KHR_draco_mesh_compression?: { bufferView: number } } }[];
  }[];
  bufferViews: {
    byteOffset?: number;
    extensions?: { EXT_meshopt_compression?: { byteOffset?: number } };
  }[];
}

function jsonOf(bytes: Uint8Array): PackedJson {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const text = new TextDecoder().decode(bytes.subarray(20, 20 + view.getUint32(12, true)));
  // Written a moment ago by the SDK from an asset of ours; the fields used are asserted by use.
  return JSON.parse(text) as PackedJson;
}

/** Byte of the file at which its first packed stream begins. */
function packedAt(bytes: Uint8Array, packing: Packing): number {
  const json = jsonOf(bytes);
  const chunk = 28 + new DataView(bytes.buffer, bytes.byteOffset).getUint32(12, true);
  if (packing === 'meshopt') {
    const found = json.bufferViews.find((view) => view.extensions?.EXT_meshopt_compression);
    return chunk + (found?.extensions?.EXT_meshopt_compression?.byteOffset ?? 0);
  }
  const draco = json.meshes[0]?.primitives[0]?.extensions?.KHR_draco_mesh_compression;
  if (draco === undefined) throw new Error('nothing is packed');
  return chunk + (json.bufferViews[draco.bufferView]?.byteOffset ?? 0);
}
