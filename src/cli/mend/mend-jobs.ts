import type { Job } from '../../batch/check-many.js';
import { type PlainSettings, plainSettings, type Settings } from '../../check/settings.js';
import type { PartReport } from '../../report/report-types.js';
import type { Io } from '../io.js';
import { tell } from '../output/write-output.js';
import { type FoundAsset, findAssets } from '../paths/find-assets.js';
import { idlePatterns } from '../paths/left-out.js';
import { chooseSettings } from '../run/choose-settings.js';
import { findHeldTo, type HeldToOf } from '../run/held-to.js';
import { searchTerms } from '../run/left-out-by.js';
import { takePart } from '../run/report-list.js';
import { assetBytes } from './asset-bytes.js';
import { type ApprovedOf, approvedAssets, tellWithoutApproved } from './mend-approved.js';
import type { MendChoices } from './mend-choices.js';
import { checkFlags, type MendFlags } from './mend-flags.js';
import type { MendDone, MendTask } from './mend-task.js';
import { notMended } from './not-mended.js';
import { type OutDir, outDirOf, withoutOwn } from './out-dir.js';
import { type FoundFile, type Planned, planInto, planOver } from './plan-places.js';
import { rootsOf } from './search-roots.js';
import { withoutApproved } from './without-approved.js';

/** The assets of a run, with where each of them goes and what it is checked against. */
export interface MendRun {
  readonly list: readonly FoundAsset[];
  /** Those of the list that are files. */
  readonly files: readonly FoundFile[];
  readonly part: PartReport | null;
  readonly planned: ReadonlyMap<string, Planned>;
  readonly heldToOf: HeldToOf;
  readonly approvedOf: ApprovedOf;
  /** The folder that is written to; null for none. */
  readonly out: OutDir | null;
  /** Paths of what is read and written. */
  taken(): string[];
}

/** Finds the assets, and plans where each goes. Throws UsageError. */
export async function openRun(
  paths: readonly string[],
  choices: MendChoices,
  flags: MendFlags,
  io: Io,
): Promise<MendRun> {
  const checked = checkFlags(flags);
  const chosen = await chooseSettings(checked, io);
  const out = outDirOf(paths, flags, io);
  const { without, of } = searchTerms(flags.without, chosen, io.cwd);
  const all = await findAssets(paths, io.cwd, without, of);
  for (const line of idlePatterns(without)) await tell(io, line);
  const rootOf = rootsOf(paths, io.cwd);
  const filesOf = (assets: readonly FoundAsset[]): FoundFile[] =>
    assets.filter((asset): asset is FoundFile => asset.kind === 'file');
  const wanted = out === null ? all : withoutOwn(all, out, rootOf);
  // Of all parts, as all that follows, so that each decides as the others do.
  const heldToOf = await findHeldTo(
    filesOf(wanted).map(({ path }) => path),
    chosen,
    checked,
    io,
  );
  const approvedOf = await approvedAssets(filesOf(wanted), heldToOf, flags.like, io);
  await tellWithoutApproved(filesOf(wanted), approvedOf, choices, io);
  const approved = new Map(
    filesOf(wanted).flatMap((file) => {
      const task = approvedOf(file);
      return task === null ? [] : [[task.path, task] as const];
    }),
  );
  const kept = [...approved.values()];
  const found = flags.inPlace === true ? await withoutApproved(wanted, kept, io) : wanted;
  const planned =
    out === null
      ? flags.inPlace === true
        ? planOver(filesOf(found), io.cwd)
        : new Map<string, Planned>()
      : await planInto(out, filesOf(found), kept, rootOf, flags, io.cwd);
  const { list, part } = takePart(found, flags.part);
  const files = filesOf(list);
  return {
    list,
    files,
    part,
    planned,
    heldToOf,
    approvedOf,
    out,
    taken: () => [
      ...approved.keys(),
      ...files.flatMap(({ path }) => {
        const where = planned.get(path);
        return where !== undefined && 'place' in where ? [path, where.place.target] : [path];
      }),
    ],
  };
}

/** A task with the bytes of its asset, as `assetBytes`. */
export interface SizedTask {
  readonly task: MendTask;
  readonly bytes: number;
}

/** The assets of a run as tasks, in order. */
export async function* mendJobs(
  { list, planned, heldToOf, approvedOf }: MendRun,
  choices: MendChoices,
  flags: MendFlags,
  io: Io,
): AsyncGenerator<Job<SizedTask, MendDone>> {
  const plain = plainOnce();
  const { columns } = io;
  const { ledger: named } = flags;
  const now = io.clock();
  for (const asset of list) {
    const name = asset.shown;
    const where = asset.kind === 'file' ? planned.get(asset.path) : undefined;
    if (asset.kind !== 'file') {
      const why = asset.kind === 'nothing' ? asset.reason : 'standard input cannot be mended';
      yield { kind: 'known', result: notMended({ name, columns }, 'unreadable', why) };
    } else if (where !== undefined && 'why' in where)
      yield { kind: 'known', result: notMended({ name, columns }, 'failed', where.why) };
    else {
      const held = heldToOf(asset.path);
      const approved = approvedOf(asset);
      const task: MendTask = {
        path: asset.path,
        name,
        settings: { ...plain(held.settings), ...(approved && { compared: approved.digest }) },
        approved,
        standard: held.standardName,
        choices,
        place: flags.dryRun === true ? null : (where?.place ?? null),
        ledger: { ...(named !== undefined && { named }), cwd: io.cwd, now },
        columns,
        isQuiet: flags.quiet === true,
      };
      const bytes = where?.bytes ?? (await assetBytes(asset.path));
      yield { kind: 'check', task: { task, bytes } };
    }
  }
}

/** Settings as they are sent, once for all assets that share them. */
function plainOnce(): (settings: Settings) => PlainSettings {
  const known = new Map<Settings, PlainSettings>();
  return (settings) => {
    const made = known.get(settings) ?? plainSettings(settings);
    known.set(settings, made);
    return made;
  };
}
