import { UsageError } from '../../asset/errors.js';
import { NO_GUARD } from '../../asset/guard.js';
import { FITTING } from '../../mend/fitting.js';
import type { ApprovedAsset } from '../../rig/types.js';
import type { Io } from '../io.js';
import type { SettingsFlags } from '../run/choose-settings.js';
import { chooseFor, type HeldTo } from '../run/held-to.js';
import type { MendFlags } from './mend-flags.js';
import type { Chosen } from './mend-rules.js';

/** What a file is checked against, and the asset that it is compared with; null for none. */
export interface HeldToApproved {
  readonly held: HeldTo;
  readonly approved: ApprovedAsset | null;
}

/**
 * The standard of a file, and the approved asset: that of `--like`, else the one that the standard names
 * for it. Only the first asks for mends. Throws UsageError.
 */
export async function heldToApproved(
  path: string,
  shown: string,
  flags: SettingsFlags,
  like: string | undefined,
  chosen: Pick<Chosen, 'only' | 'also'>,
  io: Io,
): Promise<HeldToApproved> {
  const held = await chooseFor(path, flags, io, { approvedNamed: like !== undefined });
  // Most mends compare with nothing.
  if (like === undefined && held.approved.length === 0) {
    refuseFitting(chosen);
    return { held, approved: null };
  }
  const { approvedFiles, compareByStandard, openApproved } = await import('../run/approved.js');
  const { readApproved } = await import('../../batch/approved-task.js');
  const task =
    like === undefined
      ? (await compareByStandard([{ kind: 'file', path, shown }], () => held, io.cwd)).approvedOf({
          kind: 'file',
          path,
          shown,
        })
      : await openApproved(await approvedFiles(like, [], io.cwd), '--like');
  if (task === null) return { held, approved: null };
  // It was read to be opened, and is kept.
  const approved = await readApproved(task, NO_GUARD);
  const settings = { ...held.settings, compared: task.digest };
  return { held: { ...held, settings }, approved };
}

/** Throws UsageError where somebody asks for mends that need an approved rig, and there is none. */
export function refuseFitting({ only, also }: Pick<Chosen, 'only' | 'also'>): void {
  const fitting = (ids: readonly string[]) => ids.filter((id) => id.startsWith(FITTING));
  const isAll = only !== null && fitting(only).length === only.length;
  const [id] = [...fitting(also), ...(isAll ? only : [])];
  if (id !== undefined)
    throw new UsageError(
      `${id} needs an approved rig; name its file with --like, or under "approved" in a standard`,
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
