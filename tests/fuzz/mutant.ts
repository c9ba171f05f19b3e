import { glb } from '../../fixtures/kit/containers.js';
import type { MendOptions } from '../../src/mend/mend-asset.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { type Draw, drawn } from './draw.js';
import { isLoose, type Loose, objectsIn, textOf } from './loose-json.js';
import { ACCESSOR_MUTATORS } from './mutate-accessors.js';
import { BYTE_MUTATORS } from './mutate-bytes.js';
import { CLIP_MUTATORS } from './mutate-clips.js';
import { DATA_MUTATORS } from './mutate-data.js';
import { EXTRA_MUTATORS } from './mutate-extras.js';
import { type AssetMutator, JSON_MUTATORS } from './mutate-json.js';
import { MEANING_MUTATORS } from './mutate-meaning.js';
import { SCENE_MUTATORS } from './mutate-scene.js';
import { SHAPE_MUTATORS } from './mutate-shape.js';
import type { SeedAsset, SeedSource } from './seed-assets.js';

/** A changed asset, and how to check it. */
export interface Mutant {
  /** The seed asset and what was done to it, in order. */
  readonly recipe: string;
  readonly main: Uint8Array;
  /** Its buffer file, when that is not in the asset itself. */
  readonly external: Uint8Array | null;
  readonly ending: 'glb' | 'gltf';
  /** Whether to bend its skin as well. */
  readonly motion: boolean;
  /** Whether to hold it to axes that a house names. */
  readonly axes: boolean;
  /** What is asked of a mend. */
  readonly mend: MendOptions;
}

export const EXTERNAL_NAME = 'lantern.bin';

/** Mutant number `index` of the row that `seed` begins: the same one whenever it is asked for. */
export function mutantAt(seeds: readonly SeedSource[], seed: number, index: number): Mutant {
  return drawn(seed, index, (draw) => mutate(draw, draw.pick(seeds)()));
}

const FAMILIES: readonly (readonly AssetMutator[])[] = [
  JSON_MUTATORS,
  DATA_MUTATORS,
  DATA_MUTATORS,
  ACCESSOR_MUTATORS,
  SCENE_MUTATORS,
  SCENE_MUTATORS,
  EXTRA_MUTATORS,
  MEANING_MUTATORS,
  MEANING_MUTATORS,
  MEANING_MUTATORS,
  SHAPE_MUTATORS,
  SHAPE_MUTATORS,
  CLIP_MUTATORS,
];

/**
 * Most mutants are changed as documents and packed again, so that they get past the container; one
 * in seven is changed as bytes alone, and one in twenty both ways.
 */
function mutate(draw: Draw, seed: SeedAsset): Mutant {
  const container = draw.pick(['glb', 'glb', 'glb', 'embedded', 'external'] as const);
  const buffer = seed.buffer.slice();
  // The seeds are documents: their JSON is an object.
  const json = JSON.parse(seed.json) as Loose;
  const bytesOnly = draw.chance(0.15);
  const did: string[] = [];
  if (!bytesOnly) {
    const rounds = draw.pick([1, 1, 1, 2, 3]);
    for (let tries = 0; did.length < rounds && tries < 20; tries++) {
      const told = draw.pick(draw.pick(FAMILIES))(draw, json, buffer);
      if (told !== null) did.push(told);
    }
  }
  const first = objectsIn(json, 'buffers')[0];
  if (container !== 'glb' && isLoose(first)) {
    const embedded = `data:application/octet-stream;base64,${Buffer.from(buffer).toString('base64')}`;
    first.uri ??= container === 'embedded' ? embedded : EXTERNAL_NAME;
  }
  const text = textOf(json);
  let main = container === 'glb' ? glb(text, buffer) : new TextEncoder().encode(text);
  if (bytesOnly || draw.chance(0.05)) {
    const changed = draw.pick(BYTE_MUTATORS)(draw, main);
    main = changed.bytes;
    did.push(changed.did);
  }
  return {
    recipe: `${seed.name} (${container}): ${did.join('; ')}`,
    main,
    external: container === 'external' ? buffer : null,
    ending: container === 'glb' ? 'glb' : 'gltf',
    motion: draw.chance(0.35),
    axes: draw.chance(0.2),
    mend: mendOptions(draw),
  };
}

function mendOptions(draw: Draw): MendOptions {
  const allowed = REPAIRS.flatMap((repair) => repair.rules);
  return {
    restFrom: draw.pick([null, null, 'bind', 'pose']),
    convention: draw.chance(0.1) ? { aim: { index: 0, sign: 1 }, up: { index: 1, sign: 1 } } : null,
    allow: draw.chance(0.2) ? allowed : [],
    resample: draw.chance(0.2),
    pack: draw.chance(0.2),
  };
}
