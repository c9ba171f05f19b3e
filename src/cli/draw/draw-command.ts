import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import { NO_GUARD } from '../../asset/guard.js';
import { checkAsset, checkAssetBytes, unreadableReport } from '../../check/check-asset.js';
import type { Settings } from '../../check/settings.js';
import { makeScene } from '../../draw/make-scene.js';
import type { Scene } from '../../draw/scene.js';
import { drawSheet } from '../../draw/sheet.js';
import type { AssetReport } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import type { ApprovedAsset, RigModel } from '../../rig/types.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import {
  refuseExisting,
  tell,
  tellFailure,
  writeDocument,
  writeWhole,
} from '../output/write-output.js';
import { type FoundAsset, findAssets } from '../paths/find-assets.js';
import { isSameFile } from '../paths/link-end.js';
import { refuseGone } from '../paths/working-folder.js';
import { readAsset } from '../read-stdin.js';
import type { SettingsFlags } from '../run/choose-settings.js';
import { chooseFor, type HeldTo } from '../run/held-to.js';
import { type LedgerFlags, openLedgerRun } from '../run/ledger-use.js';
import { FailedRules } from '../run/tell-failed.js';

export interface DrawFlags extends SettingsFlags, LedgerFlags {
  readonly out?: string;
  readonly replace?: boolean;
  /** An asset with the approved rig. */
  readonly approved?: string;
}

/** `trysquare draw`: checks one asset and draws what was found. Returns the exit code. */
export async function runDraw(file: string, flags: DrawFlags, io: Io): Promise<number> {
  const { out = '-', replace = false } = flags;
  const target = chooseTarget(out, replace, io);
  const [asset, second] = await findAssets([file], io.cwd);
  if (asset === undefined || second !== undefined)
    throw new UsageError(
      `one drawing shows one asset, but ${visible(file)} has several; name one of them`,
    );
  if (target !== null && asset.kind === 'file' && isSameFile(asset.path, target))
    throw new UsageError(`--out names ${visible(out)}, which is the asset to draw`);
  // A viewer goes by the ending, and would take the drawing for a broken picture.
  if (target !== null && /\.[^./\\]+$/.test(out) && !/\.svg$/i.test(out))
    throw new UsageError(
      `--out names "${visible(out)}"; a drawing is an SVG file; give it a name that ends in .svg`,
    );
  const path = asset.kind === 'file' ? asset.path : '-';
  const held = await chooseFor(path, flags, io, { approvedNamed: flags.approved !== undefined });
  const { settings, approved } = await compared(asset, held, flags, io);
  const { report, scene } = await look(asset, settings, approved, io);
  if (scene === null) {
    refuseGone(io);
    const why = report.unreadable ?? { reason: 'nothing was read', where: null };
    await tellFailure(io, report.path, 'read', why);
    return EXIT.unreadable;
  }
  const failed = new FailedRules(io);
  await failed.add(report);
  const ledger = await openLedgerRun(flags, settings, io);
  const judged = ledger?.asset(report) ?? report;
  const svg = drawSheet(scene, judged);
  if (target === null) await writeDocument(io.stdout, svg);
  else {
    writeWhole(target, visible(out), svg, replace);
    await tell(io, `${judged.verdict}; the drawing is in ${visible(out)}`);
  }
  return failed.any ? EXIT.unreadable : EXIT.sound;
}

/** The file to write, or null for standard output. Throws UsageError, also for one that is there already. */
function chooseTarget(out: string, replace: boolean, io: Io): string | null {
  if (out === '-') {
    if (replace) throw new UsageError('--replace goes with --out FILE');
    return null;
  }
  if (out === '' || /[\\/]$/.test(out))
    throw new UsageError(`--out names a folder, "${visible(out)}"; name a file in it`);
  const target = resolve(io.cwd, out);
  refuseExisting(target, visible(out), replace);
  return target;
}

/** What the asset has to fit, by the option or by its standard; null for nothing. Throws UsageError. */
async function compared(
  asset: FoundAsset,
  held: HeldTo,
  { approved: named }: DrawFlags,
  io: Io,
): Promise<{ settings: Settings; approved: ApprovedAsset | null }> {
  const { settings } = held;
  if (named === undefined && held.approved.length === 0) return { settings, approved: null };
  const { approvedFiles, compareByStandard, openApproved } = await import('../run/approved.js');
  const { readApproved } = await import('../../batch/approved-task.js');
  const task =
    named === undefined
      ? (await compareByStandard([asset], () => held, io.cwd)).approvedOf(asset)
      : await openApproved(await approvedFiles(named, [], io.cwd));
  if (task === null) return { settings, approved: null };
  return {
    settings: { ...settings, compared: task.digest },
    approved: await readApproved(task, NO_GUARD),
  };
}

async function look(
  asset: FoundAsset,
  settings: Settings,
  approved: ApprovedAsset | null,
  io: Io,
): Promise<{ report: AssetReport; scene: Scene | null }> {
  const { shown: name } = asset;
  if (asset.kind === 'nothing')
    return { report: unreadableReport(name, asset.reason, null), scene: null };
  const scenes: Scene[] = [];
  const onModel = (model: RigModel): void =>
    void scenes.push(makeScene(model, settings.wanted, approved));
  const options = { settings, approved, name, onModel };
  const report =
    asset.kind === 'stdin'
      ? await checkAssetBytes(await readAsset(io), options)
      : await checkAsset(asset.path, options);
  return { report, scene: report.unreadable === null ? (scenes[0] ?? null) : null };
}
