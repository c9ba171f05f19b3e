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
 * the others of the sizes that are in use. Returns its folder.
 */
export function makeLibrary(folder: string, count: number): string {
  const kinds = [
    ...castNames.map((name) => build(name)),
    ...castNames.map((name) => build(name, { weights: 'u8', positions: 'quantised' })),
    ...castNames.map((name) => build(name, { container: 'gltf-embedded' })),
    ...faults.map((fault) => build(fault.puppet, { faults: [fault] })),
  ];
  const large = SIZES.map((vertices) =>
    bigRig({ vertices, joints: 101, keys: 30, textureBytes: 0 }),
  );
  rmSync(folder, { recursive: true, force: true });
  for (let at = 0; at < count; at++) {
    const own = join(folder, `rig-${String(at).padStart(5, '0')}`);
    mkdirSync(own, { recursive: true });
    const files =
      at % 3 > 0
        ? [['large.glb', large[at % large.length]] as const]
        : [...(kinds[at % kinds.length]?.files ?? [])];
    for (const [name, bytes] of files) writeFileSync(join(own, name), bytes ?? new Uint8Array());
  }
  return folder;
}
