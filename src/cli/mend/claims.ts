import { basename, dirname, join, relative } from 'node:path';
import { slashes } from '../../report/slashes.js';
import { visible } from '../../report/visible.js';
import { realOf } from '../paths/real-of.js';
import { withoutEnding } from './beside-names.js';

/** One file that wants to be written to a place, by its real path, and the asset that it is of. */
interface Claim {
  readonly place: string;
  readonly from: string;
  readonly shown: string;
}

/** Which files are to be written to which places, by all assets of a run. */
export class Claims {
  /** By paths in lower case, so that those are found that some disks take for one. */
  private readonly byPlace = new Map<string, Claim[]>();
  /** The assets of all files that are read, by the real paths of these, which are found likewise. */
  private readonly sources = new Map<string, Map<string, string>>();
  private tells: boolean | null = null;

  /** @param tellsCases Whether the disk that is written to tells cases apart; asked only where it matters. */
  constructor(private readonly tellsCases: () => boolean) {}

  /** @param from Real path of the file that `target` is made of. */
  add(target: string, from: string, shown: string): void {
    const place = realOf(target);
    const claims = listAt(this.byPlace, place);
    if (!claims.some((claim) => claim.from === from && claim.place === place))
      claims.push({ place, from, shown });
    this.keep(from, shown);
  }

  /** Takes note of a file that is read, by its real path, and of the asset that it is of. */
  keep(from: string, shown: string): void {
    const key = from.toLowerCase();
    this.sources.set(key, (this.sources.get(key) ?? new Map()).set(from, shown));
  }

  /** Why nothing may be written to a place; null where it may. */
  whyNot(target: string, cwd: string): string | null {
    const shown = visible(slashes(relative(cwd, target)));
    const place = realOf(target);
    const sources = this.sources.get(place.toLowerCase()) ?? [];
    const source = [...sources].findLast(([path]) => this.isOne(path, place));
    if (source !== undefined) {
      const owner = visible(source[1]);
      const whose = owner === shown ? 'the input' : `${shown}, a file of ${owner}`;
      return `the result would overwrite ${whose}; name another folder with --out-dir`;
    }
    const claims = listAt(this.byPlace, place).filter((one) => this.isOne(one.place, place));
    const [first, second] = claims;
    if (first === undefined || second === undefined) return null;
    return `${visible(first.shown)} and ${visible(second.shown)} would both write ${shown}; mend them into different folders`;
  }

  /** A beginning for the names of an asset's buffers that no other file has, and none gets hereafter. */
  freeStem(target: string): string {
    const stem = withoutEnding(basename(target));
    for (let number = 1; ; number++) {
      const tried = number === 1 ? stem : `${stem}-mended-${number}`;
      const places = BUFFERS.map((ending) => join(dirname(target), `${tried}${ending}`));
      if (places.some((place) => listAt(this.byPlace, realOf(place)).length > 0)) continue;
      for (const place of places)
        listAt(this.byPlace, realOf(place)).push({
          place: realOf(place),
          from: place,
          shown: target,
        });
      return tried;
    }
  }

  /** Whether two paths that are alike but for cases lead to one file. */
  private isOne(a: string, b: string): boolean {
    if (a === b) return true;
    this.tells ??= this.tellsCases();
    return !this.tells;
  }
}

/** How the names of buffers end that a mend names anew; assets with more of them are rare. */
const BUFFERS = ['.bin', '-2.bin', '-3.bin', '-4.bin'];

/** The list of a path, whatever its cases; a new one where there is none. */
function listAt(lists: Map<string, Claim[]>, path: string): Claim[] {
  const key = path.toLowerCase();
  const list = lists.get(key) ?? [];
  lists.set(key, list);
  return list;
}
