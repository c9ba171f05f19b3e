import type { AssetReport, FindingReport } from '../../report/report-types.js';
import type { PlottedClip } from './proof-plot.js';
import { isMoved, isTurned, type RigPair } from './rig-pair.js';

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
  readonly left: readonly StoryLeft[];
  /** With how it is new. */
  readonly fresh: readonly { readonly finding: FindingReport; readonly how: string }[];
}

/** What is left as it was, and why. */
export interface StoryLeft {
  readonly rule: string;
  /** Where, in words. */
  readonly place: string;
  /** Level and message of the finding; null of what is told as new already, or as part of another finding. */
  readonly found: Pick<FindingReport, 'level' | 'message'> | null;
  readonly why: string;
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

/** What the eye meets on both sides: what stays the same of the mesh, and what is other of the joints. */
export function lineWords({ pairs, proof }: MendStory): string {
  const mesh =
    proof.allowed === null ? 'the mesh stays the same' : 'the mesh differs by what was allowed';
  const changed = pairs.flatMap((pair) => pair.changed);
  const kinds = [
    changed.some(isTurned) && 'axes',
    changed.some(isMoved) && 'places',
    changed.some(({ rehung }) => rehung !== null) && 'parents',
    changed.some(({ renamed }) => renamed !== null) && 'names',
  ].filter((kind) => kind !== false);
  const last = kinds.at(-1);
  if (last === undefined) return mesh;
  const before = kinds.slice(0, -1).join(', ');
  return `${mesh}, and the ${before === '' ? last : `${before} and ${last}`} of the changed joints are others`;
}

/** What a mend came to, in one sentence. */
export function storyLead({ findings, changes, proof }: MendStory): string {
  const { gone, left, fresh } = findings;
  const counts = [`${gone.length} gone`, `${left.length} left`, `${fresh.length} new`].join(', ');
  const looks =
    changes.length === 0
      ? 'Nothing was changed.'
      : proof.allowed === null
        ? 'The rig looks the same in every pose.'
        : 'The rig looks different, as was allowed.';
  return `Findings: ${counts}. ${looks}`;
}
