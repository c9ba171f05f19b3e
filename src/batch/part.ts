import { sha256 } from '../asset/crypto.js';
import { byPath } from './path-order.js';

/** One of several shares of a list, each checked by a machine of its own. */
export interface Part {
  /** From 1 on. */
  readonly index: number;
  readonly of: number;
}

/** A part in a report, with what shows that two parts are of the same list. */
export interface PartReport extends Part {
  /** Digest of all paths of the whole list, in hexadecimal. */
  readonly list: string;
  /** How many paths the whole list has. */
  readonly total: number;
}

/**
 * The share of a list that a part checks, in list order. Every path is in exactly one part, the same
 * on every machine with the same files; parts are balanced by file size (bytes): the largest first,
 * each to the part that has least so far.
 */
export function shareOf<T extends { readonly shown: string; readonly size: number }>(
  list: readonly T[],
  { index, of }: Part,
): T[] {
  const load = new Float64Array(of);
  const owner = new Map<T, number>();
  const bySize = [...list].sort((a, b) => b.size - a.size || byPath(a.shown, b.shown));
  for (const file of bySize) {
    let least = 0;
    for (let part = 1; part < of; part++) if ((load[part] ?? 0) < (load[least] ?? 0)) least = part;
    // An empty file costs its opening too: thousands of them must not all fall to one part.
    load[least] = (load[least] ?? 0) + file.size + OPENING;
    owner.set(file, least);
  }
  return list.filter((file) => owner.get(file) === index - 1);
}

/** What opening a file costs, as the bytes that could be read meanwhile. */
const OPENING = 1 << 16;

/** Short digest of a list of paths. */
export function listDigest(paths: readonly string[]): string {
  return sha256().update(JSON.stringify(paths)).digest('hex').slice(0, 32);
}
