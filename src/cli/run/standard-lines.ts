import { existsSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import type { Rule } from '../../kit/rule.js';
import { slashes } from '../../report/slashes.js';
import { STANDARD_NAME } from '../../standard/find-standard.js';
import type { readStandard, Standard } from '../../standard/read-standard.js';

/**
 * The standards of folders, each with what it takes from those above it. A folder is looked up once and
 * a file read once: assets by the thousand share theirs.
 */
export class StandardLines {
  readonly #nearest = new Map<string, string | null>();
  readonly #standards = new Map<string, Standard>();

  /** @param cwd The folder from which people know the files. */
  constructor(
    readonly rules: readonly Rule[],
    readonly cwd: string,
  ) {}

  /** The nearest standard in a folder or above it; null for none. */
  nearest(folder: string): string | null {
    const before = this.#nearest.get(folder);
    if (before !== undefined) return before;
    const path = join(folder, STANDARD_NAME);
    const found = existsSync(path) ? path : this.#nearestAbove(folder);
    this.#nearest.set(folder, found);
    return found;
  }

  /** What one of them says. Throws UsageError for one that is wrong, or that takes from one that is. */
  async read(path: string): Promise<Standard> {
    const known = this.#standards.get(path);
    if (known !== undefined) return known;
    // The schema checker takes longer to load than a small check.
    const { readStandard } = await import('../../standard/read-standard.js');
    return this.#readWith(readStandard, path);
  }

  #nearestAbove(folder: string): string | null {
    const above = dirname(folder);
    return above === folder ? null : this.nearest(above);
  }

  #readWith(read: typeof readStandard, path: string): Standard {
    const known = this.#standards.get(path);
    if (known !== undefined) return known;
    const standard = read(path, slashes(relative(this.cwd, path)), this.rules, () => {
      const above = this.#nearestAbove(dirname(path));
      return above === null ? null : this.#readWith(read, above);
    });
    this.#standards.set(path, standard);
    return standard;
  }
}

/** Names of the standards that one takes from, the nearest first. */
export function namesAbove({ above }: Standard): string[] {
  return above === null ? [] : [above.shown, ...namesAbove(above)];
}
