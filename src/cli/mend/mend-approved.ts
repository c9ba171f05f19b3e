import { UsageError } from '../../asset/errors.js';
import { NO_GUARD } from '../../asset/guard.js';
import type { ApprovedTask } from '../../batch/approved-task.js';
import { FITTING } from '../../mend/fitting.js';
import { counted } from '../../report/finding-words.js';
import { visible } from '../../report/visible.js';
import type { ApprovedAsset } from '../../rig/types.js';
import type { Io } from '../io.js';
import { tell } from '../output/write-output.js';
import { isSameFile } from '../paths/link-end.js';
import { chooseFor, type HeldTo, type HeldToOf } from '../run/held-to.js';
import { checkFlags, type MendFlags } from './mend-flags.js';
import type { Chosen } from './mend-rules.js';
import type { FoundFile } from './plan-places.js';

/** What a file is checked against, and the asset that it is compared with; null for none. */
export interface HeldToApproved {
  readonly held: HeldTo;
  readonly approved: ApprovedAsset | null;
}

/** The standard of the one file of a run, and the approved asset that goes for it. Throws UsageError. */
export async function heldToApproved(
  path: string,
  shown: string,
  flags: MendFlags,
  chosen: Pick<Chosen, 'only' | 'also'>,
  io: Io,
): Promise<HeldToApproved> {
  const { like } = flags;
  const held = await chooseFor(path, checkFlags(flags), io, { approvedNamed: like !== undefined });
  const file = { kind: 'file', path, shown } as const;
  const task = (await approvedAssets([file], () => held, like, io))(file);
  await tellWithoutApproved([file], () => task, chosen, io);
  if (task === null) return { held, approved: null };
  const { readApproved } = await import('../../batch/approved-task.js');
  // It was read to be opened, and is kept.
  const approved = await readApproved(task, NO_GUARD);
  const settings = { ...held.settings, compared: task.digest };
  return { held: { ...held, settings }, approved };
}

/** Tells which approved asset a file is compared with; null for none. */
export type ApprovedOf = (file: FoundFile) => ApprovedTask | null;

/**
 * The approved assets of files, opened once each: that of `--like` for all, else those that their standards
 * name. Only the first asks for mends. An approved asset is compared with nothing. Throws UsageError.
 */
export async function approvedAssets(
  files: readonly FoundFile[],
  heldToOf: HeldToOf,
  like: string | undefined,
  io: Io,
): Promise<ApprovedOf> {
  // Most mends compare with nothing.
  if (like === undefined && files.every(({ path }) => heldToOf(path).approved.length === 0))
    return () => null;
  const { approvedFiles, compareByStandard, openApproved } = await import('../run/approved.js');
  if (like === undefined) return (await compareByStandard(files, heldToOf, io.cwd)).approvedOf;
  const task = await openApproved(await approvedFiles(like, [], io.cwd), '--like');
  const others = new Set(files.filter(({ path }) => !isSameFile(path, task.path)));
  if (files.length > 0 && others.size === 0)
    throw new UsageError(
      `--like names ${visible(like)}, which is the file to be mended; name the file of the approved rig`,
    );
  return (file) => (others.has(file) ? task : null);
}

/**
 * Where mends are asked for that need an approved rig, says which files have none. Throws UsageError where
 * none has one.
 */
export async function tellWithoutApproved(
  files: readonly FoundFile[],
  approvedOf: ApprovedOf,
  { only, also }: Pick<Chosen, 'only' | 'also'>,
  io: Io,
): Promise<void> {
  const fitting = (ids: readonly string[]) => ids.filter((id) => id.startsWith(FITTING));
  const isAll = only !== null && fitting(only).length === only.length;
  const ids = [...fitting(also), ...(isAll ? only : [])];
  if (ids.length === 0) return;
  const approved = files.flatMap((file) => approvedOf(file)?.path ?? []);
  if (approved.length === 0)
    throw new UsageError(
      `${ids[0]} needs an approved rig; name its file with --like, or under "approved" in a standard`,
    );
  const [first, ...more] = files.filter(
    (file) => approvedOf(file) === null && !approved.includes(file.path),
  );
  if (first === undefined) return;
  const which = `${first.shown}${more.length > 0 ? ` and ${counted(more.length, 'more file')}` : ''}`;
  await tell(
    io,
    visible(
      `${[...new Set(ids)].join(', ')}: no approved rig is named for ${which}, so nothing there is made like one; name it with --like, or under "approved" in a standard`,
    ),
  );
}

/** With what `--like` asks for, besides what else is chosen. Throws UsageError. */
export function withLike(
  chosen: Chosen,
  mendable: readonly string[],
  { like, aim }: MendFlags,
): Chosen {
  if (like === undefined) return chosen;
  if (aim !== undefined)
    throw new UsageError(
      '--like and --aim both say how frames are to be turned; leave out one of them',
    );
  const { also, skip } = chosen;
  const asked = mendable.filter((id) => id.startsWith(FITTING) && !skip.includes(id));
  return { ...chosen, also: [...new Set([...also, ...asked])] };
}
