import { existsSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import { plainSettings, rulesToRun, type Settings, settingsDigest } from '../../check/settings.js';
import type { AssetStandard } from '../../report/report-types.js';
import { slashes } from '../../report/slashes.js';
import type { ApprovedPattern } from '../../standard/approved-patterns.js';
import { STANDARD_NAME } from '../../standard/find-standard.js';
import type { Io } from '../io.js';
import {
  type ChosenSettings,
  type Comparison,
  chooseSettings,
  readChosen,
  type SettingsFlags,
} from './choose-settings.js';

/** What one asset is checked against. */
export interface HeldTo {
  readonly settings: Settings;
  /** Its standard; absent where that is the one of the run. */
  readonly standard?: AssetStandard;
  /** Which assets have to fit which approved one, by its standard, and how that is known to the user. */
  readonly approved: readonly ApprovedPattern[];
  readonly standardName: string | null;
  /** Ids of the rules that are judged. */
  readonly ran: readonly string[];
}

/** Tells what an asset is checked against, by its path. */
export type HeldToOf = (path: string) => HeldTo;

/**
 * Finds for each asset the standard that is nearest to it: in its folder, or in the nearest folder above.
 * That standard alone counts, so that one file says all that an asset has to meet; where there is none,
 * the one of the run does. A standard that is named holds for all, and so does none. All standards are
 * read here: one that is wrong ends the run before it begins. Throws UsageError.
 *
 * @param paths Absolute, as the assets were found.
 */
export async function findHeldTo(
  paths: readonly string[],
  chosen: ChosenSettings,
  flags: SettingsFlags,
  io: Io,
): Promise<HeldToOf> {
  const { settings: settingsOfRun, approved: approvedOfRun } = chosen;
  const ofRun: HeldTo = {
    settings: settingsOfRun,
    approved: approvedOfRun,
    standardName: chosen.standard,
    ran: idsOf(settingsOfRun),
  };
  if (flags.standard !== undefined) return () => ofRun;
  const nearest = nearestIn(new Map());
  const held = new Map<string | null, HeldTo>([
    [null, ofRun],
    [chosen.path, ofRun],
  ]);
  for (const path of paths.filter((path) => path !== '-')) {
    const file = nearest(dirname(path));
    if (file === null || held.has(file)) continue;
    const shown = slashes(relative(io.cwd, file));
    const { settings, approved } = await readChosen({ path: file, shown }, flags, io);
    const standard = {
      path: shown,
      failing: settings.failing,
      unit: settings.unit,
      settings: settingsDigest(plainSettings(settings)),
    };
    held.set(file, { settings, standard, approved, standardName: shown, ran: idsOf(settings) });
  }
  return (path) => held.get(path === '-' ? null : nearest(dirname(resolve(io.cwd, path)))) ?? ofRun;
}

/** What a single asset is checked against: the standard that is nearest to it, changed by the options. */
export async function chooseFor(
  path: string,
  flags: SettingsFlags,
  io: Io,
  comparison: Comparison = {},
): Promise<HeldTo> {
  const chosen = await chooseSettings(flags, io, comparison);
  return (await findHeldTo([path], chosen, flags, io))(path);
}

export function idsOf(settings: Settings): string[] {
  return rulesToRun(settings).map((rule) => rule.id);
}

/** Looks each folder up once: assets by the thousand share theirs. */
function nearestIn(known: Map<string, string | null>): (folder: string) => string | null {
  const nearest = (folder: string): string | null => {
    const before = known.get(folder);
    if (before !== undefined) return before;
    const [path, above] = [join(folder, STANDARD_NAME), dirname(folder)];
    const found = existsSync(path) ? path : above === folder ? null : nearest(above);
    known.set(folder, found);
    return found;
  };
  return nearest;
}
