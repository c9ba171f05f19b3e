import { execFile } from 'node:child_process';
import { relative, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';

/** For each file, the files that it imports: of values and of types, at once and when they are needed. */
export type Imports = ReadonlyMap<string, ReadonlySet<string>>;

const TSC = fileURLToPath(new URL('../../node_modules/typescript/bin/tsc', import.meta.url));

/**
 * The imports of every file of a TypeScript project, as the compiler itself resolves them
 * (`--explainFiles`); those of packages and data are left out. Paths are relative to `root`, with slashes.
 */
export async function importsOf(project: string, root: string): Promise<Imports> {
  const { stdout } = await promisify(execFile)(
    process.execPath,
    [TSC, '--listFilesOnly', '--explainFiles', '-p', resolve(root, project)],
    { cwd: root, maxBuffer: 1 << 28 },
  );
  const imports = new Map<string, Set<string>>();
  let file = '';
  for (const line of stdout.split('\n')) {
    const by = /^ +Imported via .* from file '(.*?)'/.exec(line)?.[1];
    if (/^\S/.test(line)) file = from(root, line);
    if (by === undefined || !isOurs(file) || !isOurs(from(root, by))) continue;
    const importer = from(root, by);
    imports.set(importer, (imports.get(importer) ?? new Set()).add(file));
  }
  return imports;
}

function from(root: string, path: string): string {
  return relative(root, resolve(root, path)).replaceAll('\\', '/');
}

function isOurs(path: string): boolean {
  return path.endsWith('.ts') && !/^\.\.\/|(^|\/)node_modules\//.test(path);
}

/** A circle of imports, as `a -> b -> a`; null where there is none. */
export function circleIn(imports: Imports): string | null {
  const left = new Map([...imports].map(([file, others]) => [file, new Set(others)]));
  // What leads to nothing that is left is in no circle.
  for (let more = true; more; ) {
    more = false;
    for (const [file, others] of left) {
      for (const other of others) if (!left.has(other)) others.delete(other);
      if (others.size === 0) more = left.delete(file);
    }
  }
  const way: string[] = [];
  let [at] = left.keys();
  while (at !== undefined && !way.includes(at)) {
    way.push(at);
    [at] = left.get(at) ?? [];
  }
  return at === undefined ? null : [...way.slice(way.indexOf(at)), at].join(' -> ');
}
