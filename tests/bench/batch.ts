import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { build } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faults } from '../../fixtures/faults/index.js';
import { bigRig } from './big-rig.js';

/** Vertices of the larger rigs of a library: what games and films use. */
const SIZES = [10_000, 20_000, 50_000, 100_000];

/**
 * Writes a library of many rigs: every third of the cast, in all storages, sound and with every fault,
 * the others of the sizes and layouts that are in use. Returns its folder.
 *
 * @param share Every so many is one of the cast: 1 for nothing else.
 */
export function makeLibrary(folder: string, count: number, share = 3): string {
  const kinds = [
    ...castNames.map((name) => build(name)),
    ...castNames.map((name) => build(name, { weights: 'u8', positions: 'quantised' })),
    ...castNames.map((name) => build(name, { container: 'gltf-embedded' })),
    ...faults.map((fault) => build(fault.puppet, { faults: [fault] })),
  ];
  const large = [false, true].flatMap((interleaved) =>
    SIZES.map((vertices) =>
      bigRig({ vertices, joints: 101, keys: 30, textureBytes: 0, interleaved }),
    ),
  );
  rmSync(folder, { recursive: true, force: true });
  for (let at = 0; at < count; at++) {
    const own = join(folder, `rig-${String(at).padStart(5, '0')}`);
    mkdirSync(own, { recursive: true });
    const files =
      at % share > 0
        ? [['large.glb', large[at % large.length]] as const]
        : [...(kinds[at % kinds.length]?.files ?? [])];
    for (const [name, bytes] of files)
      writeFileSync(join(own, name), distinct(bytes ?? new Uint8Array(), at));
  }
  return folder;
}

/** Writes rigs of the sizes that games use, all with clips of many keys, in both layouts. Returns their folder. */
export function makeTroupe(folder: string, count: number): string {
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  const kinds = [false, true].flatMap((interleaved) =>
    SIZES.slice(0, 3).map((vertices) =>
      bigRig({ vertices, joints: 101, keys: 300, textureBytes: 0, interleaved }),
    ),
  );
  for (let at = 0; at < count; at++)
    writeFileSync(
      join(folder, `rig-${String(at).padStart(5, '0')}.glb`),
      distinct(kinds[at % kinds.length] ?? new Uint8Array(), at),
    );
  return folder;
}

/** The same file with another generator written in it, so that no two of a library are alike. */
function distinct(bytes: Uint8Array, at: number): Buffer {
  const own = Buffer.from(bytes);
  const place = own.indexOf('"generator":"');
  if (place !== -1) own.write(String(at % 10_000).padStart(4, '0'), place + '"generator":"'.length);
  return own;
}
