// Source: find, IEEE Std 1003.1-2017 (POSIX), Shell & Utilities: -L follows links, and with it
// "-type l" is true of links alone that lead nowhere.
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, realpathSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { type FoundAsset, findAssets } from '../../src/cli/paths/find-assets.js';
import { tempFolder } from '../support/temp-folder.js';

/** Folders of the tree; what begins with a point is looked into by a link alone. */
const FOLDERS = ['in', 'in/act', 'in/act/scene', 'in/store', 'in/.kept', 'out'];

/** A link in a folder, and what it leads to. */
const link = fc.record({
  at: fc.integer({ min: 0, max: FOLDERS.length - 2 }),
  to: fc.constantFrom(...FOLDERS, ...FOLDERS.map((folder) => `${folder}/heron.glb`), 'nowhere'),
  name: fc.constantFrom('a', 'm', 'z', 'a.glb', 'z.glb'),
});

/** A path with links to its folder followed: where it lies. */
function placeOf(path: string): string {
  return join(realpathSync(dirname(path)), basename(path));
}

function find(root: string, ...args: string[]): string[] {
  // It fails where links run in a circle, and tells all others nonetheless.
  const { stdout } = spawnSync('find', args.slice(0, 1).concat(root, args.slice(1)), {
    encoding: 'utf8',
  });
  const hidden = (path: string): boolean => /\/\./.test(path.slice(root.length));
  return stdout.split('\n').filter((path) => path !== '' && !hidden(path));
}

it('every file that find comes to through links is checked once, or a line tells why not', async () => {
  expect(execFileSync('find', ['.', '-maxdepth', '0'], { encoding: 'utf8' })).toBe('.\n');
  let [followed, told] = [0, 0];
  const holds = async (links: readonly { at: number; to: string; name: string }[]) => {
    const cwd = realpathSync(tempFolder());
    for (const folder of FOLDERS) {
      mkdirSync(join(cwd, folder), { recursive: true });
      writeFileSync(join(cwd, folder, 'heron.glb'), '');
    }
    const taken = new Set<string>();
    for (const { at, to, name } of links) {
      const path = join(cwd, FOLDERS[at] ?? '', name);
      if (taken.has(path)) continue;
      taken.add(path);
      symlinkSync(join(cwd, to), path);
    }
    const root = join(cwd, 'in');
    const found = await findAssets([root], cwd);
    const isFile = (item: FoundAsset) => item.kind === 'file';
    const files = found.filter(isFile).map(({ shown }) => shown);
    const reasons = new Set(
      found.filter((item) => !isFile(item)).map((item) => placeOf(item.shown)),
    );
    const reals = new Set(files.map((path) => realpathSync(path)));
    for (const path of find(root, '-L', '-type', 'f', '-name', '*.glb')) {
      if (realpathSync(path).startsWith(`${root}/`)) expect(reals).toContain(realpathSync(path));
      else {
        const way = path.slice(root.length + 1).split('/');
        const steps = way.map((_, at) => join(root, ...way.slice(0, at + 1)));
        expect(steps.some((step) => reasons.has(placeOf(step)))).toBe(true);
      }
    }
    for (const path of find(root, '-L', '-type', 'l')) expect(reasons).toContain(placeOf(path));
    // What needs no link to a folder is there by its own path, links to files included.
    for (const path of find(root, '-P', '-name', '*.glb')) {
      const stats = statSync(path, { throwIfNoEntry: false });
      if (stats?.isFile() && realpathSync(path).startsWith(`${root}/`))
        expect(files).toContain(path);
    }
    // Nothing twice, and nothing from outside.
    expect(new Set(files.map(placeOf)).size).toBe(files.length);
    for (const real of reals) expect(real.startsWith(`${root}/`)).toBe(true);
    followed += files.filter((path) => realpathSync(path) !== path).length;
    told += reasons.size;
  };
  const trees = fc.array(link, { minLength: 1, maxLength: 7 });
  await fc.assert(fc.asyncProperty(trees, holds), { seed: 16, numRuns: 25 });
  expect(followed).toBeGreaterThan(20);
  expect(told).toBeGreaterThan(20);
}, 60_000);
