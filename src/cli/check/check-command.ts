import { UsageError } from '../../asset/errors.js';
import type { AssetReport } from '../../report/report-types.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { DEFAULT_FORMAT } from '../output/formats/index.js';
import { chooseTargets } from '../output/targets.js';
import { tell } from '../output/write-output.js';
import { findAssets } from '../paths/find-assets.js';
import { idlePatterns } from '../paths/left-out.js';
import { chooseSettings, type SettingsFlags } from '../run/choose-settings.js';
import { termsFor } from '../run/comparing.js';
import { searchTerms } from '../run/left-out-by.js';
import { type ListFlags, refuseAssets, reportList, takePart } from '../run/report-list.js';
import { startEarly } from '../run/workers.js';
import { tellIdleApproved } from './idle-approved.js';
import type { LivePage } from './live-page.js';

export interface CheckFlags extends SettingsFlags, ListFlags {
  readonly watch?: boolean;
}

/** `trysquare check`: checks what the paths name and writes the reports. Returns the exit code. */
export async function runCheck(
  paths: readonly string[],
  flags: CheckFlags,
  io: Io,
): Promise<number> {
  if (flags.watch === true) refuseUnwatchable(paths, flags);
  // What is watched is told on standard output, whether or not a page is kept current besides.
  const out = flags.watch === true && flags.out !== undefined ? [...flags.out, '-'] : flags.out;
  const targets = chooseTargets({ ...flags, ...(out && { out }) }, io);
  const chosen = await chooseSettings(flags, io);
  const reports = flags.watch === true ? new Map<string, AssetReport>() : null;
  const started = await startEarly(paths, flags, io);
  let code: number;
  let live: LivePage | null = null;
  try {
    const { without, of } = searchTerms(flags.without, chosen, io.cwd);
    const found = await findAssets(paths, io.cwd, without, of);
    for (const line of idlePatterns(without)) await tell(io, line);
    refuseAssets(targets, found);
    const terms = await termsFor(chosen, found, flags, io);
    await tellIdleApproved(found, paths, chosen, terms, flags.only, io);
    if (reports !== null && flags.out !== undefined) {
      const { livePage } = await import('./live-page.js');
      const { known } = chosen.settings;
      live = livePage(targets, found.length, known, flags.replace === true, io);
    }
    const watched = {
      reports,
      ...(live && { bench: live.bench(), onAsset: live.begun.bind(live) }),
    };
    const context = { ...chosen, ...terms, paths, targets, flags, io, started, ...watched };
    code = await reportList(takePart(found, flags.part), context);
    if (code !== EXIT.stopped) live?.tell();
  } finally {
    await started?.close();
  }
  if (reports === null || code === EXIT.stopped) return code;
  const { watchAssets } = await import('./watch.js');
  return watchAssets(paths, reports, live, flags, io);
}

/** Refuses what does not go with watching. Throws UsageError. */
function refuseUnwatchable(paths: readonly string[], { out, format }: CheckFlags): void {
  if (paths.includes('-'))
    throw new UsageError('standard input cannot be watched; name files or folders');
  const isPage = out?.length === 1 && /\.html?$/i.test(out[0] ?? '') && format === undefined;
  if ((out !== undefined && !isPage) || (format ?? DEFAULT_FORMAT.name) !== DEFAULT_FORMAT.name)
    throw new UsageError(
      '--watch writes text to standard output, and keeps one page current; leave out --format, and name one .html file with --out or none',
    );
}
