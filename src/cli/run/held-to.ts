import { dirname, resolve } from 'node:path';
import { plainSettings, rulesToRun, type Settings, settingsDigest } from '../../check/settings.js';
import type { AssetStandard } from '../../report/report-types.js';
import type { ApprovedPattern } from '../../standard/approved-patterns.js';
import type { Io } from '../io.js';
import {
  type ChosenSettings,
  type Comparison,
  changedAlike,
  chooseSettings,
  refuseUnasked,
  type SettingsFlags,
} from './choose-settings.js';
import { namesAbove } from './standard-lines.js';

/** What one asset is checked against. */
export interface HeldTo {
  readonly settings: Settings;
  /** Its standard; absent where that is the one of the run. */
  readonly standard?: AssetStandard;
  /** The name of its standard, as `AssetStandard.path`; null for none. */
  readonly standardName: string | null;
  /** Which assets have to fit which approved one, by its standard. */
  readonly approved: readonly ApprovedPattern[];
  /** Ids of the rules that are judged. */
  readonly ran: readonly string[];
}

/** Tells what an asset is checked against, by its path. */
export type HeldToOf = (path: string) => HeldTo;

/**
 * Finds for each asset the standard that is nearest to it: in its folder, or in the nearest folder above.
 * What that leaves out, it takes from those above it; where there is none, the one of the run counts. A
 * standard that is named holds for all, and so does none. All standards are read here: one that is wrong
 * ends the run before it begins. Throws UsageError.
 *
 * @param paths Absolute, as the assets were found.
 */
export async function findHeldTo(
  paths: readonly string[],
  chosen: ChosenSettings,
  flags: SettingsFlags,
  io: Io,
  comparison: Comparison = {},
): Promise<HeldToOf> {
  const { settings: settingsOfRun, approved: approvedOfRun, lines } = chosen;
  const ofRun: HeldTo = {
    settings: settingsOfRun,
    approved: approvedOfRun,
    standardName: chosen.standard,
    ran: idsOf(settingsOfRun),
  };
  if (lines === null) return () => ofRun;
  const held = new Map<string | null, HeldTo>([
    [null, ofRun],
    [chosen.path, ofRun],
  ]);
  for (const path of paths.filter((path) => path !== '-')) {
    const file = lines.nearest(dirname(path));
    if (file === null || held.has(file)) continue;
    const read = await lines.read(file);
    const settings = changedAlike(read, flags, chosen);
    const above = namesAbove(read);
    const standard = {
      path: read.shown,
      ...(above.length > 0 && { above }),
      failing: settings.failing,
      unit: settings.unit,
      settings: settingsDigest(plainSettings(settings)),
    };
    const ran = idsOf(settings);
    held.set(file, {
      settings,
      standard,
      standardName: read.shown,
      approved: read.approved,
      ran,
    });
  }
  refuseUnasked([...held.values()], chosen.standard, flags, comparison);
  return (path) =>
    held.get(path === '-' ? null : lines.nearest(dirname(resolve(io.cwd, path)))) ?? ofRun;
}

/** What a single asset is checked against: the standard that is nearest to it, changed by the options. */
export async function chooseFor(
  path: string,
  flags: SettingsFlags,
  io: Io,
  comparison: Comparison = {},
): Promise<HeldTo> {
  const chosen = await chooseSettings(flags, io, comparison);
  return (await findHeldTo([path], chosen, flags, io, comparison))(path);
}

export function idsOf(settings: Settings): string[] {
  return rulesToRun(settings).map((rule) => rule.id);
}
