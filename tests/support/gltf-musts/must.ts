import type { WholeFile } from './whole-file.js';

/** One thing that glTF 2.0 asks of a file. */
export interface Must {
  /** Of ours, for tables. */
  readonly id: string;
  /** Of the Khronos glTF 2.0 Specification. */
  readonly section: string;
  /** The sentence there, or the part of it that is held. */
  readonly says: string;
  /** Where a file breaks it; empty where it is kept. What another must asks is not asked again. */
  readonly breaches: (file: WholeFile) => readonly string[];
}

/** Places among many that break something, by what leads there. */
export function broken<T>(
  items: readonly T[] | undefined,
  path: string,
  isBroken: (item: T, index: number) => boolean,
): string[] {
  return (items ?? []).flatMap((item, index) =>
    isBroken(item, index) ? [`${path}/${index}`] : [],
  );
}
