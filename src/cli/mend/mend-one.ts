import { AssetError, MachineError, UsageError } from '../../asset/errors.js';
import { markAt } from '../../batch/part-file.js';
import type { Settings } from '../../check/settings.js';
import { type MendOptions, type MendResult, mendAsset } from '../../mend/mend-asset.js';
import { REPAIRS } from '../../mend/repairs.js';
import { isAtFault } from '../../report/verdicts.js';
import { visible } from '../../report/visible.js';
import { writeTogether } from '../output/write-together.js';
import { filesOf, type MendFiles } from './mend-files.js';
import type { MendPlace } from './mend-place.js';
import type { MendEnd } from './mend-record.js';

/** One asset to mend. */
export interface MendJob {
  readonly path: string;
  readonly settings: Settings;
  readonly options: MendOptions;
  /** Null for a dry run. */
  readonly place: MendPlace | null;
}

/** An asset that is mended in memory, and what is to be written of it. */
export interface Prepared {
  readonly result: MendResult;
  /** Null where nothing is written. */
  readonly files: MendFiles | null;
  /** How it ends unless writing fails. */
  readonly end: MendEnd;
}

const NOTHING_WRITTEN = { out: null, files: [], notTaken: [] };

const CHANGED_MEANWHILE =
  'was changed by another program during the mend, and was not overwritten; run the command again';

/** Mends an asset in memory. Throws AssetError where it cannot be read, or has what a mend would break. */
export async function prepare({ path, settings, options, place }: MendJob): Promise<Prepared> {
  const stem = place?.stem ?? null;
  const over = place?.way === 'in-place' ? place.target : null;
  const mark = over === null ? null : markAt(over);
  const result = await mendAsset(path, settings, REPAIRS, { ...options, stem });
  const without = (outcome: MendEnd['outcome'], why: string | null = null): Prepared => {
    return { result, files: null, end: { ...NOTHING_WRITTEN, outcome, why } };
  };
  const { after, changes } = result;
  const why = whyNotWritten(result);
  if (why !== null) return without('refused', why);
  if (place === null) return without('planned');
  if (changes.length === 0 && !isAtFault(after.verdict) && place.sound === 'leave')
    return without('left');
  // A newer file would be mended as it was before.
  if (over !== null && markAt(over) !== mark)
    return without('failed', `${visible(place.shown)} ${CHANGED_MEANWHILE}`);
  try {
    const files = filesOf(path, place, result);
    const end = {
      outcome: changes.length === 0 ? 'copied' : 'written',
      why: null,
      out: place.shown,
      files: files.pieces.map(({ words, holds }) => ({ path: words, holds })),
      notTaken: files.notTaken,
    } as const;
    return { result, files, end };
  } catch (error) {
    return without('failed', reasonOf(error));
  }
}

/** Writes what is to be written. Gives back how it ended: nothing is written in part. */
export function write({ files, end }: Prepared): MendEnd {
  if (files === null) return end;
  try {
    writeTogether(files.pieces);
    return end;
  } catch (error) {
    return { ...NOTHING_WRITTEN, outcome: 'failed', why: reasonOf(error) };
  }
}

/** Why something could not be written. Throws what no asset is to blame for. */
function reasonOf(error: unknown): string {
  if (!(error instanceof UsageError) || error instanceof MachineError) throw error;
  return error.message;
}

/** Why the result of a mend is of no use; null where it can be written. */
function whyNotWritten({ after, changes, offending, isTurned }: MendResult): string | null {
  if (offending !== null) return 'it would change what is seen';
  if (!isTurned) return 'the rig is not turned';
  // A copy would be in the way of the next try, with a choice made or a change allowed.
  if (changes.length === 0 && isAtFault(after.verdict)) return 'nothing was mended';
  return null;
}

/** What is told of an asset that could not be mended. Throws all that is not about the asset. */
export function unreadableReason(error: unknown): Pick<AssetError, 'reason' | 'where'> {
  if (!(error instanceof AssetError)) throw error;
  return error;
}
