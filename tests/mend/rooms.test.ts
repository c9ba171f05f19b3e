import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { describe, expect, test } from 'vitest';
import { REPAIRS } from '../../src/mend/repairs.js';

const SOURCE = 'src/mend';

/** From left to right as `DEVELOPERS.md` draws them; rooms beside each other import nothing of one another. */
const drawn = (/^json <- .*$/m.exec(readFileSync('DEVELOPERS.md', 'utf8'))?.[0] ?? '')
  .split(' <- ')
  .map((step) => step.split(', '));

/** Files beside the rooms that know JSON at most, and those that stand above all repairs. */
const BESIDE = [
  'allowed-change.ts',
  'compare-findings.ts',
  'fitting.ts',
  'found-places.ts',
  'harms.ts',
  'progress.ts',
  'renames.ts',
];
const ABOVE = [
  'attempt.ts',
  'like.ts',
  'mending.ts',
  'never-worse.ts',
  'readings.ts',
  'played.ts',
  'repairs.ts',
  'spared.ts',
];

const files = readdirSync(SOURCE, { recursive: true, encoding: 'utf8' }).filter((file) =>
  file.endsWith('.ts'),
);

/** The room of a file, or its own name. */
function roomOf(file: string): string {
  return file.split('/')[0] ?? '';
}

function importsOf(file: string): string[] {
  const text = readFileSync(join(SOURCE, file), 'utf8');
  return [...text.matchAll(/(?:from|import\() ?'(\.[^']+)\.js'/g)]
    .map(([, path = '']) => relative(SOURCE, join(SOURCE, dirname(file), `${path}.ts`)))
    .filter((path) => !path.startsWith('..'));
}

function heightOf(room: string): number {
  if (BESIDE.includes(room)) return 0.5;
  if (ABOVE.includes(room)) return drawn.length - 1.5;
  return drawn.findIndex((step) => step.includes(room));
}

function isLoose(room: string): boolean {
  return BESIDE.includes(room) || ABOVE.includes(room);
}

describe('the rooms of a mend', () => {
  test('are all drawn', () => {
    const rooms = new Set(files.map(roomOf));
    expect([...rooms].sort()).toEqual([...drawn.flat(), ...BESIDE, ...ABOVE].sort());
  });

  test('import only from the left', () => {
    const climbing = files.flatMap((file) =>
      importsOf(file)
        .map((path) => [roomOf(file), roomOf(path), `${file} <- ${path}`] as const)
        .filter(([own, room]) => own !== room && heightOf(room) >= heightOf(own))
        // Those at one height are held by having no circle.
        .filter(([own, room]) => !(isLoose(own) && heightOf(room) === heightOf(own)))
        .map(([, , arrow]) => arrow),
    );
    expect(climbing).toEqual([]);
  });

  test('have no circle of files', () => {
    const done = new Set<string>();
    const circles: string[] = [];
    const visit = (file: string, way: readonly string[]): void => {
      if (way.includes(file)) circles.push([...way.slice(way.indexOf(file)), file].join(' <- '));
      if (way.includes(file) || done.has(file)) return;
      for (const path of importsOf(file)) visit(path, [...way, file]);
      done.add(file);
    };
    for (const file of files) visit(file, []);
    expect(circles).toEqual([]);
    expect(done.size).toBe(files.length);
  });

  test('the repairs are those that are listed, each in a file of its own, and nothing else', async () => {
    const own = files.filter((file) => roomOf(file) === 'repairs');
    const found = await Promise.all(
      own.map(async (file) => Object.values((await import(`../../${SOURCE}/${file}`)) as object)),
    );
    expect(found.map((values) => values.length)).toEqual(own.map(() => 1));
    expect(new Set(found.flat())).toEqual(new Set(REPAIRS));
  });
});
