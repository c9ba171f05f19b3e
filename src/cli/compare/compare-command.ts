import { UsageError } from '../../asset/errors.js';
import { NO_GUARD } from '../../asset/guard.js';
import type { ApprovedTask } from '../../batch/approved-task.js';
import type { Io } from '../io.js';
import { chooseTargets } from '../output/targets.js';
import { tell } from '../output/write-output.js';
import { type FoundAsset, findAssets } from '../paths/find-assets.js';
import { idlePatterns, leftOut } from '../paths/left-out.js';
import { approvedFiles, openApproved } from '../run/approved.js';
import { chooseSettings, type SettingsFlags } from '../run/choose-settings.js';
import { type ListFlags, refuseAssets, reportList, takePart } from '../run/report-list.js';
import { startEarly } from '../run/workers.js';

export interface CompareFlags extends SettingsFlags, ListFlags {
  /** Files, folders and patterns of clips that were made for the approved rig. */
  readonly clips?: readonly string[];
}

/** `trysquare compare`: holds candidates to an approved asset. Returns the exit code. */
export async function runCompare(
  approved: string,
  candidates: readonly string[],
  flags: CompareFlags,
  io: Io,
): Promise<number> {
  const { clips = [] } = flags;
  if (candidates.length === 0 && clips.length === 0)
    throw new UsageError(
      'there is nothing to compare with the approved rig: name assets after it, or clips with --clips',
    );
  const targets = chooseTargets(flags, io);
  // Without a candidate, the clips themselves are what has to fit.
  const clipsAlone = candidates.length === 0;
  const [paths, library] = clipsAlone ? [clips, []] : [candidates, clips];
  const files = await approvedFiles(approved, library, io.cwd);
  const task = await openApproved({ ...files, ...(clipsAlone && { clipsAlone }) });
  const chosen = await chooseSettings(flags, io, { compared: task.digest, onlyFit: true });
  const started = await startEarly(paths, flags, io);
  try {
    if (library.length > 0) await tellIdleClips(task, io);
    // One standard holds for all candidates, so what others in their folders leave out does not count.
    const without = [...leftOut(flags.without, io.cwd), ...chosen.without];
    const found = await findAssets(paths, io.cwd, without);
    for (const line of idlePatterns(without)) await tell(io, line);
    if (found.some(({ kind }) => kind === 'stdin'))
      throw new UsageError('standard input cannot be compared; name files or folders');
    refuseAssets(targets, [...found, { kind: 'file', path: task.path, shown: task.name }]);
    const approvedOf = (asset: FoundAsset) => (asset.kind === 'file' ? task : null);
    const context = { ...chosen, paths, targets, flags, io, started, approvedOf };
    return await reportList(takePart(found, flags.part), context);
  } finally {
    await started?.close();
  }
}

/** Says by what of the library no rig will be compared: no report has a place for it. */
async function tellIdleClips(task: ApprovedTask, io: Io): Promise<void> {
  const { idleClips } = await import('../../measure/fit/idle-clips.js');
  const { idleClipsLines } = await import('./compare-words.js');
  const { readApproved } = await import('../../batch/approved-task.js');
  // It was read to be opened, and is kept.
  const approved = await readApproved(task, NO_GUARD);
  for (const line of idleClipsLines(idleClips(approved))) await tell(io, line);
}
