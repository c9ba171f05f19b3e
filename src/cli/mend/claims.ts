import { basename, dirname, join, relative } from 'node:path';
import { slashes } from '../../report/slashes.js';
import { visible } from '../../report/visible.js';
import { realOf } from '../paths/real-of.js';
import { withoutEnding } from './beside-names.js';

/** One file that wants to be written to a place, and the asset that it is of. */
interface Claim {
  readonly from: string;
  readonly shown: string;
}

/** Which files are to be written to which places, by all assets of a run. */
export class Claims {
  private readonly byPlace = new Map<string, Claim[]>();
  /** Real paths of all files that are read. */
  private readonly sources = new Map<string, string>();

  /** @param from Real path of the file that `target` is made of. */
  add(target: string, from: string, shown: string): void {
    const key = keyOf(target);
    const claims = this.byPlace.get(key) ?? [];
    if (!claims.some((claim) => claim.from === from)) claims.push({ from, shown });
    this.byPlace.set(key, claims);
    this.keep(from, shown);
  }

  /** Takes note of a file that is read, by its real path, and of the asset that it is of. */
  keep(from: string, shown: string): void {
    this.sources.set(keyOf(from), shown);
  }

  /** Why nothing may be written to a place; null where it may. */
  whyNot(target: string, cwd: string): string | null {
    const shown = visible(slashes(relative(cwd, target)));
    const key = keyOf(target);
    const source = this.sources.get(key);
    if (source !== undefined) {
      const whose =
        visible(source) === shown ? 'the input' : `${shown}, a file of ${visible(source)}`;
      return `the result would overwrite ${whose}; name another folder with --out-dir`;
    }
    const [first, second] = this.byPlace.get(key) ?? [];
    if (first === undefined || second === undefined) return null;
    return `${visible(first.shown)} and ${visible(second.shown)} would both write ${shown}; mend them into different folders`;
  }

  /** A beginning for the names of an asset's buffers that no other file has, and none gets hereafter. */
  freeStem(target: string): string {
    const stem = withoutEnding(basename(target));
    for (let number = 1; ; number++) {
      const tried = number === 1 ? stem : `${stem}-mended-${number}`;
      const places = BUFFERS.map((ending) => join(dirname(target), `${tried}${ending}`));
      if (places.some((place) => this.byPlace.has(keyOf(place)))) continue;
      for (const place of places) this.byPlace.set(keyOf(place), [{ from: place, shown: target }]);
      return tried;
    }
  }
}

/** How the names of buffers end that a mend names anew; assets with more of them are rare. */
const BUFFERS = ['.bin', '-2.bin', '-3.bin', '-4.bin'];

/** Some file systems take names that differ in case alone for one, as those of these machines do. */
function keyOf(path: string): string {
  const real = realOf(path);
  return process.platform === 'linux' ? real : real.toLowerCase();
}
