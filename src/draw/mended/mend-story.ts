import type { AssetReport, FindingReport } from '../../report/report-types.js';
import type { PlottedClip } from './proof-plot.js';
import type { RigPair } from './rig-pair.js';

/** All that is shown of one mend: what it did, that nobody sees it, and what it came to. */
export interface MendStory {
  /** The file that was mended, as given, and the one that was written; null for a plan alone. */
  readonly file: string;
  readonly out: string | null;
  /** Name and version of what mended it, and the standard that it was held to. */
  readonly tool: string;
  readonly standard: string | null;
  readonly before: AssetReport;
  readonly after: AssetReport;
  readonly changes: readonly StoryChange[];
  readonly findings: StoryFindings;
  readonly pairs: readonly RigPair[];
  readonly proof: StoryProof;
}

/** One thing that was changed, in words. */
export interface StoryChange {
  readonly rule: string;
  readonly place: string;
  readonly before: string;
  readonly after: string;
}

/** Findings of before that are gone, those that are left, and those that the mend brought. */
export interface StoryFindings {
  readonly gone: readonly FindingReport[];
  /** With the reason. */
  readonly left: readonly { readonly finding: FindingReport; readonly why: string }[];
  /** With how it is new. */
  readonly fresh: readonly { readonly finding: FindingReport; readonly how: string }[];
}

/** The file before and the file after, compared vertex by vertex. */
export interface StoryProof {
  /** What was compared and what came of it, in a sentence or two. */
  readonly words: string;
  /** What was allowed to show; null where nothing was. */
  readonly allowed: string | null;
  /** No vertex is farther apart than this in any pose; 1 is the size of the rig. */
  readonly share: number;
  /** The same in percent, as text. */
  readonly percent: string;
  /** The largest difference as stored, and where that is. */
  readonly stored: string;
  readonly clips: readonly StoryClip[];
  /** More than this is never written unless it was allowed. Share of the rig's size. */
  readonly limit: number;
}

export interface StoryClip extends PlottedClip {
  /** The largest of its samples. */
  readonly share: number;
  /** When and where that is. */
  readonly where: string;
}

/** The last part of a path, which is what people call a file. */
export function fileName(path: string): string {
  return path.split(/[\\/]/).findLast((part) => part !== '') ?? path;
}

/** What a mend came to, in one sentence. */
export function storyLead({ findings, changes, proof }: MendStory): string {
  const { gone, left, fresh } = findings;
  const counts = [`${gone.length} gone`, `${left.length} left`, `${fresh.length} new`].join(', ');
  const looks =
    changes.length === 0
      ? 'Nothing was changed.'
      : proof.share <= proof.limit
        ? 'The rig looks the same in every pose.'
        : 'The rig looks different, as was allowed.';
  return `Findings: ${counts}. ${looks}`;
}
