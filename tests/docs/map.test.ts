import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { disagreements, type Room, readMap } from '../support/house-map.js';
import { circleIn, type Imports, importsOf } from '../support/source-imports.js';
import { tempFolder } from '../support/temp-folder.js';

const root = fileURLToPath(new URL('../../', import.meta.url));
const rooms = readMap(new URL('../../DEVELOPERS.md', import.meta.url));
const [source, viewer] = await Promise.all([
  importsOf('tsconfig.build.json', root),
  importsOf('src/page/client/tsconfig.json', root),
]);
const imports: Imports = new Map([...source, ...viewer]);

describe('the map of DEVELOPERS.md', () => {
  it('has every folder and file of src, and no other', () => {
    const there = readdirSync(join(root, 'src')).map((name) => `src/${name}`);
    const mapped = rooms.flatMap(({ places }) => places.filter((place) => /^src\//.test(place)));
    expect(mapped.sort()).toEqual(there.sort());
  });

  it('lets a room import only from rooms above it, so that rooms make no circle', () => {
    rooms.forEach(({ places, from }, at) => {
      const above = rooms.slice(0, at).flatMap((room) => room.places);
      expect(from?.filter((place) => !above.includes(place)) ?? [], places.join()).toEqual([]);
    });
  });

  it('is what the files import, no more and no less', () => {
    expect(disagreements(rooms, imports)).toEqual([]);
  });
});

it('no files import each other in a circle', () => {
  expect(circleIn(imports)).toBeNull();
});

describe('what is told of imports', () => {
  const low: Room = { places: ['src/low'], from: [] };
  const high: Room = { places: ['src/high'], from: ['src/low'] };
  const both = (...pairs: [string, string][]): Imports =>
    new Map(pairs.map(([file, other]) => [file, new Set([other])]));

  it('names an import against the map, a file without a room and leave that nobody takes', () => {
    const down: [string, string] = ['src/high/a.ts', 'src/low/b.ts'];
    expect(disagreements([low, high], both(down))).toEqual([]);
    expect(disagreements([low, high], both(['src/low/b.ts', 'src/high/a.ts']))).toEqual([
      'src/low/b.ts must not import from src/high/a.ts',
      'src/high imports nothing from src/low',
    ]);
    expect(disagreements([low, high], both(down, ['src/c.ts', 'src/low/b.ts']))).toEqual([
      'src/c.ts or src/low/b.ts is in no room',
    ]);
  });

  it('names a circle, and not what leads to it', () => {
    const ring = both(['in.ts', 'a.ts'], ['a.ts', 'b.ts'], ['b.ts', 'c.ts'], ['c.ts', 'a.ts']);
    expect(circleIn(ring)).toBe('a.ts -> b.ts -> c.ts -> a.ts');
    expect(circleIn(both(['in.ts', 'a.ts'], ['a.ts', 'b.ts']))).toBeNull();
  });

  it('imports of types, of values, by name again and when they are needed all count', async () => {
    const options = { noEmit: true, module: 'NodeNext', types: [], noLib: true };
    const folder = tempFolder({
      'a.ts': "import type { B } from './b.js';\nexport const a: B = 1;\n",
      'b.ts': "export type B = 1;\nexport const c = () => import('./c.js');\n",
      'c.ts': "export { d } from './d.js';\n",
      'd.ts': "import { a } from './a.js';\nexport const d = a;\n",
      'tsconfig.json': JSON.stringify({ compilerOptions: options, include: ['.'] }),
    });
    const read = await importsOf('tsconfig.json', folder);
    expect(Object.fromEntries([...read].map(([file, others]) => [file, [...others]]))).toEqual({
      'a.ts': ['b.ts'],
      'b.ts': ['c.ts'],
      'c.ts': ['d.ts'],
      'd.ts': ['a.ts'],
    });
  });
});
