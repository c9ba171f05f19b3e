import { UsageError } from '../../asset/errors.js';
import type { ApprovedTask } from '../../batch/approved-task.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import { tell } from '../output/write-output.js';
import type { FoundAsset } from '../paths/find-assets.js';
import { realOf } from '../paths/real-of.js';

/**
 * What was found without the approved assets that others of it are compared with, and says so: one that
 * is mended in place changes while the others are held to it. Throws UsageError where nothing is left.
 */
export async function withoutApproved(
  found: readonly FoundAsset[],
  approved: readonly ApprovedTask[],
  io: Io,
): Promise<readonly FoundAsset[]> {
  const real = new Set(approved.map(({ path }) => realOf(path)));
  const isApproved = (asset: FoundAsset): boolean =>
    asset.kind === 'file' && real.has(realOf(asset.path));
  const [first, ...more] = found.filter(isApproved);
  if (first === undefined) return found;
  const which = `${first.shown}${more.length > 0 ? ` and ${counted(more.length, 'more file')}` : ''}`;
  const why = visible(
    `${which}: the other files are held to the approved rig there, so it is not mended in the same run; mend it first, by itself`,
  );
  if (1 + more.length === found.length) throw new UsageError(why);
  await tell(io, why);
  return found.filter((asset) => !isApproved(asset));
}
