import { resolve } from 'node:path';
import { UsageError } from '../../asset/errors.js';
import {
  type CheckOptions,
  checkAsset,
  checkAssetBytes,
  unreadableReport,
} from '../../check/check-asset.js';
import type { Settings } from '../../check/settings.js';
import { makeScene } from '../../draw/make-scene.js';
import type { Scene } from '../../draw/scene.js';
import { drawSheet } from '../../draw/sheet.js';
import type { AssetReport } from '../../report/report-types.js';
import { visible } from '../../report/visible.js';
import { EXIT } from '../exit-codes.js';
import type { Io } from '../io.js';
import { refuseExisting, writeDocument, writeText, writeWhole } from '../output/write-output.js';
import { type FoundAsset, findAssets } from '../paths/find-assets.js';
import { isSameFile } from '../paths/same-file.js';
import { refuseGone } from '../paths/working-folder.js';
import { readStdin } from '../read-stdin.js';
import { chooseSettings, type SettingsFlags } from '../run/choose-settings.js';
import { type LedgerFlags, openLedgerRun } from '../run/ledger-use.js';

export interface DrawFlags extends SettingsFlags, LedgerFlags {
  readonly out?: string;
  readonly replace?: boolean;
}

/** `trysquare draw`: checks one asset and draws what was found. Returns the exit code. */
export async function runDraw(file: string, flags: DrawFlags, io: Io): Promise<number> {
  const target = chooseTarget(flags, io);
  const { settings } = await chooseSettings(flags, io);
  const found = await findOne(file, io);
  if (target !== null && found.kind === 'file' && isSameFile(found.path, target))
    throw new UsageError(`--out names ${visible(flags.out ?? '')}, which is the asset to draw`);
  refuseOtherEnding(flags.out ?? '');
  const { report, scene } = await look(found, settings, io);
  if (scene === null) {
    refuseGone(io);
    const { reason, where } = report.unreadable ?? { reason: 'nothing was read', where: null };
    const line = `${report.path} cannot be read: ${reason}${where === null ? '' : ` (at ${where})`}`;
    await writeText(io.stderr, `trysquare: ${visible(line)}\n`);
    return EXIT.unreadable;
  }
  const ledger = await openLedgerRun(flags, settings, io);
  const told = ledger?.asset(report) ?? report;
  const svg = drawSheet(scene, told);
  if (target === null) await writeDocument(io.stdout, svg);
  else {
    const shown = visible(flags.out ?? '');
    writeWhole(target, shown, svg, flags.replace === true);
    await writeText(io.stderr, `trysquare: ${told.verdict}; the drawing is in ${shown}\n`);
  }
  return EXIT.sound;
}

/** The file to write, or null for standard output. Throws UsageError, also for one that is there already. */
function chooseTarget({ out, replace }: DrawFlags, io: Io): string | null {
  if (out === undefined || out === '-') {
    if (replace === true) throw new UsageError('--replace goes with --out FILE');
    return null;
  }
  if (out === '' || /[\\/]$/.test(out))
    throw new UsageError(`--out names a folder, "${visible(out)}"; name a file in it`);
  const target = resolve(io.cwd, out);
  refuseExisting(target, visible(out), replace === true);
  return target;
}

/** A viewer goes by the ending, and would take the drawing for a broken picture. */
function refuseOtherEnding(out: string): void {
  if (out === '-' || !/\.[^./\\]+$/.test(out) || /\.svg$/i.test(out)) return;
  throw new UsageError(
    `--out names "${visible(out)}"; a drawing is an SVG file; give it a name that ends in .svg`,
  );
}

/** The one asset that a path names. Throws UsageError when it names several. */
async function findOne(file: string, io: Io): Promise<FoundAsset> {
  const [first, second] = await findAssets([file], io.cwd);
  if (first === undefined || second !== undefined)
    throw new UsageError(
      `one drawing shows one asset, but ${visible(file)} has several; name one of them`,
    );
  return first;
}

async function look(
  found: FoundAsset,
  settings: Settings,
  io: Io,
): Promise<{ report: AssetReport; scene: Scene | null }> {
  const scenes: Scene[] = [];
  const options: CheckOptions = {
    settings,
    name: found.shown,
    onModel: (model) => void scenes.push(makeScene(model, settings.wanted)),
  };
  const report =
    found.kind === 'nothing'
      ? unreadableReport(found.shown, found.reason, null)
      : found.kind === 'stdin'
        ? await checkAssetBytes(await readStdin(io), options)
        : await checkAsset(found.path, options);
  return { report, scene: report.unreadable === null ? (scenes[0] ?? null) : null };
}
