import type { Settings } from '../../check/settings.js';
import type { Io } from '../io.js';
import type { FoundAsset } from '../paths/find-assets.js';
import type { Comparing } from './approved.js';
import type { ChosenSettings, SettingsFlags } from './choose-settings.js';
import { findHeldTo, type HeldTo, type HeldToOf, idsOf } from './held-to.js';

/** What each asset of a run is held to: its standard, and the approved asset that it has to fit. */
export interface Terms extends Comparing {
  /** Those of the run. */
  readonly settings: Settings;
  readonly heldToOf: HeldToOf;
}

/** Finds the terms of assets; approved assets are opened only where a standard names some. Throws UsageError. */
export async function termsFor(
  chosen: ChosenSettings,
  found: readonly FoundAsset[],
  flags: SettingsFlags,
  io: Io,
): Promise<Terms> {
  const files = found.flatMap((asset) => (asset.kind === 'file' ? [asset.path] : []));
  const plain = await findHeldTo(files, chosen, flags, io);
  const { compared, approvedOf } = await comparing(files, found, plain, io);
  if (compared === null)
    return { settings: chosen.settings, heldToOf: plain, compared, approvedOf };
  // Rules about fitting are among those that ran then, by whatever standard.
  const known = new Map<HeldTo, HeldTo>();
  const heldToOf: HeldToOf = (path) => {
    const held = plain(path);
    const settings = { ...held.settings, compared };
    const made = known.get(held) ?? { ...held, settings, ran: idsOf(settings) };
    known.set(held, made);
    return made;
  };
  return { settings: { ...chosen.settings, compared }, heldToOf, compared, approvedOf };
}

async function comparing(
  files: readonly string[],
  found: readonly FoundAsset[],
  heldToOf: HeldToOf,
  io: Io,
): Promise<Comparing> {
  if (files.every((path) => heldToOf(path).approved.length === 0))
    return { compared: null, approvedOf: () => null };
  const { compareByStandard } = await import('./approved.js');
  return compareByStandard(found, heldToOf, io.cwd);
}
