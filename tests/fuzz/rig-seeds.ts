import { readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { isLoose, type Loose, objectsIn } from './loose-json.js';
import { type SeedAsset, type SeedSource, seedOf } from './seed-assets.js';

/** Larger ones would be most of the reading. */
const MOST_BYTES = 1_000_000;

/** Vertices times keys of its clips, which is what the proof of a mend takes its time for. */
const MOST_POSED = 200_000;

/** Rigs that others made, of a folder that whoever runs this has: those of one buffer that are small, and soon posed. */
export function rigSeeds(folder: string): readonly SeedSource[] {
  return readdirSync(folder)
    .sort()
    .map((name) => join(folder, name))
    .filter((path) => /\.(glb|vrm|gltf)$/i.test(path) && statSync(path).size <= MOST_BYTES)
    .flatMap((path) => {
      const seed = path.endsWith('.gltf') ? seedOfText(path) : seedOf(path, readFileSync(path));
      return seed === null || posedOf(seed) > MOST_POSED ? [] : [() => seed];
    });
}

function posedOf({ json }: SeedAsset): number {
  const document: unknown = JSON.parse(json);
  const accessors = objectsIn(document, 'accessors');
  const countOf = (index: unknown): number => Number(accessors[Number(index)]?.count ?? 0);
  const vertices = objectsIn(document, 'meshes')
    .flatMap((mesh) => objectsIn(mesh, 'primitives'))
    .map(({ attributes }) => (isLoose(attributes) ? countOf(attributes.POSITION) : 0));
  const keys = objectsIn(document, 'animations').map((animation) =>
    Math.max(0, ...objectsIn(animation, 'samplers').map(({ input }) => countOf(input))),
  );
  const sum = (numbers: readonly number[]): number => numbers.reduce((a, b) => a + b, 0);
  return sum(vertices) * sum(keys);
}

function seedOfText(path: string): SeedAsset | null {
  const json: unknown = JSON.parse(readFileSync(path, 'utf8'));
  const [first, second] = objectsIn(json, 'buffers');
  if (!isLoose(json) || first === undefined || second !== undefined) return null;
  const buffer = bufferOf(first, dirname(path));
  if (buffer === null || buffer.length > MOST_BYTES) return null;
  // It goes into the container that the mutant is given.
  delete first.uri;
  return { name: path, json: JSON.stringify(json), buffer };
}

function bufferOf({ uri }: Loose, folder: string): Uint8Array | null {
  if (typeof uri !== 'string') return null;
  const data = /^data:[^,]*;base64,/.exec(uri);
  if (data !== null) return new Uint8Array(Buffer.from(uri.slice(data[0].length), 'base64'));
  return new Uint8Array(readFileSync(join(folder, decodeURIComponent(uri))));
}
