import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import type { Guard } from '../../asset/guard.js';
import { DEFAULT_LIMITS } from '../../batch/task-limits.js';
import { timeGuard } from '../../batch/time-guard.js';
import {
  type CheckOptions,
  checkAsset,
  checkAssetBytes,
  unreadableReport,
} from '../../check/check-asset.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import { type ApprovedFile, type Like, standardLike } from '../../standard/like/like.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { tell, tellFailure } from '../output/write-output.js';
import { type FoundAsset, findAssets } from '../paths/find-assets.js';
import { idlePatterns, leftOut } from '../paths/left-out.js';
import { refuseGone } from '../paths/working-folder.js';
import { readAsset } from '../read-stdin.js';
import type { StandardFlags } from './standard-flags.js';

type LikeFlags = Omit<StandardFlags, 'like'>;

/**
 * `trysquare standard init --like`: makes a standard from approved rigs, says what they disagree in, and
 * puts the text where `standard` says. Files that cannot be read are left out, and give the exit code.
 */
export async function initLike(
  paths: readonly string[],
  { without = [], timeLimit = DEFAULT_LIMITS.seconds }: LikeFlags,
  io: Io,
  standard: { readonly shown: string; put(text: string): void },
): Promise<number> {
  refuseStandard(paths, io);
  const terms = leftOut(without, io.cwd);
  const found = await findAssets(paths, io.cwd, terms);
  for (const line of idlePatterns(terms)) await tell(io, line);
  const files = await Promise.all(found.map((asset) => approvedFile(asset, timeLimit, io)));
  const { like, unreadable, empty } = await standardLike(files, rules);
  for (const { path, unreadable: why } of unreadable) {
    refuseGone(io);
    if (why !== null) await tellFailure(io, path, 'read', why);
  }
  for (const name of empty) await tell(io, visible(`${name} has no rig, so it was left out`));
  const code = unreadable.length > 0 ? EXIT.unreadable : EXIT.sound;
  if (like === null) {
    await tell(io, 'nothing was written: none of these files has a rig that can be read');
    return code === EXIT.sound ? EXIT.usage : code;
  }
  standard.put(like.text);
  for (const sentence of like.disagreements) await tell(io, sentence);
  await tell(
    io,
    `wrote ${standard.shown}, read off ${counted(like.rigs, 'rig')}; ${soundWords(like)}`,
  );
  return code;
}

function soundWords({ rigs, limits, levels }: Like): string {
  const are = rigs === 1 ? 'it is sound under it' : 'all are sound under it';
  const granted = [
    ...(limits.length > 0 ? [`other limits for ${limits.join(', ')}`] : []),
    ...(levels.length > 0 ? [`a milder level for ${levels.join(', ')}`] : []),
  ];
  if (granted.length === 0) return are;
  return `${are}, with ${granted.join(' and ')}; its comments tell why, so read them before you use it`;
}

/** The option takes all paths that follow it, the standard's own too. Throws UsageError. */
function refuseStandard(paths: readonly string[], io: Io): void {
  const standard = paths.find((path) => /\.json$/i.test(path));
  if (standard === undefined) return;
  const what = existsSync(resolve(io.cwd, standard))
    ? `${visible(standard)} is no rig`
    : `there is no rig ${visible(standard)}`;
  throw new UsageError(
    `${what}; if the standard is to be written there, name it before --like: trysquare standard init ${visible(standard)} --like RIG`,
  );
}

/** What was found, as it is read again and again. */
async function approvedFile(asset: FoundAsset, seconds: number, io: Io): Promise<ApprovedFile> {
  const bytes = asset.kind === 'stdin' ? await readAsset(io) : new Uint8Array();
  return {
    name: asset.shown,
    read(settings, onModel) {
      const guard: Guard = timeGuard(seconds);
      const options: CheckOptions = {
        settings,
        name: asset.shown,
        guard,
        onModel: (model) => guard.run(() => onModel(model)),
      };
      if (asset.kind === 'nothing')
        return Promise.resolve(unreadableReport(asset.shown, asset.reason, null));
      return asset.kind === 'file'
        ? checkAsset(asset.path, options)
        : checkAssetBytes(bytes, options);
    },
  };
}
