import { NodeIO } from '@gltf-transform/core';
import {
  EXTMeshoptCompression,
  KHRDracoMeshCompression,
  KHRMeshQuantization,
} from '@gltf-transform/extensions';
import draco from 'draco3dgltf';
import { MeshoptDecoder, MeshoptEncoder } from 'meshoptimizer';
import { buildGlb, buildPuppet, mainFile } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { plainFaults } from '../../fixtures/faults/index.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import type { BuildOptions } from '../../fixtures/kit/options.js';
import { situations } from '../../fixtures/situations/index.js';
import type { Situation } from '../../fixtures/situations/situation.js';

/** A readable asset that mutants are made of: its JSON as text, and its one buffer. */
export interface SeedAsset {
  readonly name: string;
  readonly json: string;
  readonly buffer: Uint8Array;
}

/** Seeds are built when they are first asked for: a short run needs few of them. */
export type SeedSource = () => SeedAsset;

const STORAGES: readonly BuildOptions[] = [
  {},
  { weights: 'u8' },
  { weights: 'u16', positions: 'quantised' },
  { positions: 'quantised-node', unitScale: 100 },
  { convention: { aim: '+X', up: '+Y', mirror: 'negate-all' }, sideNaming: 'prefix' },
];

/**
 * The cast in several storages, every fault by name, what fools a checker, humanoid mappings, packed
 * geometry, and the rigs of a folder, if one is named.
 */
export async function seedAssets(rigs: string | null = null): Promise<readonly SeedSource[]> {
  const plain = castNames.flatMap((name) => STORAGES.map((options) => source(name, options)));
  const faulty = plainFaults.map((fault) => source(fault.puppet, { faults: [fault] }));
  const human = (['1.0', '0.x'] as const).map((vrm) => source('marionette', { vrm }));
  const odd = situations.map((situation) =>
    once(() => seedOf(situation.name, situationGlb(situation))),
  );
  const packed = await packedSeeds();
  const found = rigs === null ? [] : (await import('./rig-seeds.js')).rigSeeds(rigs);
  const own = [...plain, ...human, ...human, ...faulty, ...odd];
  return [...own, ...packed.map((seed) => () => seed), ...found, ...found];
}

function once(make: () => SeedAsset): SeedSource {
  let built: SeedAsset | null = null;
  return () => {
    built ??= make();
    return built;
  };
}

function source(name: CastName, options: BuildOptions): SeedSource {
  return once(() => seedOf(`${name} ${describe(options)}`, buildGlb(name, options)));
}

function situationGlb({ options = {}, raise }: Situation): Uint8Array {
  const all: BuildOptions = { ...options, container: 'glb' };
  return mainFile(buildPuppet(raise(all), all));
}

function describe({ faults: applied, ...storage }: BuildOptions): string {
  const names = (applied ?? []).map((entry) => ('fault' in entry ? entry.fault : entry).name);
  return [JSON.stringify(storage), ...names].join(' ');
}

/** A seed of the bytes of a GLB. */
export function seedOf(name: string, bytes: Uint8Array): SeedAsset {
  const jsonEnd = 20 + new DataView(bytes.buffer, bytes.byteOffset).getUint32(12, true);
  const json = new TextDecoder().decode(bytes.subarray(20, jsonEnd));
  return { name, json, buffer: new Uint8Array(bytes.subarray(jsonEnd + 8)) };
}

/** Interleaved, meshopt- and Draco-compressed, by encoders that are not ours. */
async function packedSeeds(): Promise<SeedAsset[]> {
  await Promise.all([MeshoptEncoder.ready, MeshoptDecoder.ready]);
  const io = new NodeIO()
    .registerExtensions([EXTMeshoptCompression, KHRDracoMeshCompression, KHRMeshQuantization])
    .registerDependencies({
      'meshopt.encoder': MeshoptEncoder,
      'draco3d.encoder': await draco.createEncoderModule(),
    });
  const bytes = buildGlb('caterpillar', { weights: 'u8' });
  const seeds: SeedAsset[] = [];
  for (const packing of ['interleaved', 'meshopt', 'draco'] as const) {
    // `readBinary` wants bytes with an ArrayBuffer of their own.
    const document = await io.readBinary(Uint8Array.from(bytes));
    if (packing === 'meshopt') document.createExtension(EXTMeshoptCompression).setRequired(true);
    if (packing === 'draco') document.createExtension(KHRDracoMeshCompression).setRequired(true);
    seeds.push(seedOf(`caterpillar ${packing}`, await io.writeBinary(document)));
  }
  // As many again of each: their readers are the least of ours.
  return [...seeds, ...seeds, ...seeds];
}
