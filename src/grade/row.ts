import type { Settings } from '../check/settings.js';
import { fixesOf, lostBy } from './fixes.js';
import { shareWords } from './share-words.js';
import { type Skeleton, skeletonOf } from './skeleton.js';
import type { Marked } from './submission.js';

/** What the class's own tables need of a submission, once its findings can be let go. */
export interface Row extends Omit<Marked, 'assets'> {
  readonly files: number;
  /** Whether any of its assets could be read, so that counts mean something. */
  readonly read: boolean;
  /** What to fix first, in a few words; null for nothing. */
  readonly first: string | null;
  readonly skeletons: readonly Skeleton[];
  /** Its feedback, as a path in the folder of the grades. */
  readonly feedback: string;
}

export function rowOf(marked: Marked, feedback: string, settings: Settings): Row {
  const { assets, ...rest } = marked;
  const rigs = assets.flatMap((asset) => asset.rigs);
  return {
    ...rest,
    files: assets.length,
    read: assets.some(({ verdict }) => verdict !== 'unreadable'),
    first: firstWords(marked, settings),
    skeletons: rigs.flatMap((rig) => skeletonOf(rig) ?? []),
    feedback,
  };
}

/** `a joint rolled away from its segment (axis.up, 2 of 31 joints)`. */
function firstWords({ assets, grade }: Marked, settings: Settings): string | null {
  const [fix] = fixesOf(assets, grade, settings);
  if (fix === undefined) return null;
  const { rule, grade: counted } = fix;
  const share =
    counted === null || lostBy(fix) === 0
      ? ''
      : `, ${shareWords(counted.short, counted.looked, counted.of)}`;
  return `${rule.title} (${rule.id}${share})`;
}
